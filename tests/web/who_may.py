"""Every route and whom it is for. A new route stands here too: `test_who_may_what.py` misses it else."""

from __future__ import annotations

from enum import StrEnum


class For(StrEnum):
    """Whom a route is for. "Of it": of the practical, or of the account, that the address names."""

    ANYONE = "anyone"
    PHONE = "a phone at a bench"
    STAFF = "anybody who signed in"
    TEACHERS = "teachers and heads"
    HEADS = "heads"
    HEADS_OF_IT = "heads of the department of it"
    PERSON_OF_IT = "whose account it is, and heads of the department of it"
    READERS_OF_IT = "everybody of the department of it, technicians too"
    LOOKERS_AT_IT = "teachers and heads of the department of it"
    RUNNERS_OF_IT = "its teacher, who covers it, and heads of its department"
    OWNERS_OF_IT = "its teacher and heads of its department"


ROUTES: dict[str, For] = {
    "bench.acknowledge": For.PHONE,
    "bench.answer": For.PHONE,
    "bench.call_for_help": For.PHONE,
    "bench.choose": For.ANYONE,
    "bench.class_csv": For.PHONE,
    "bench.class_figure": For.PHONE,
    "bench.class_now": For.PHONE,
    "bench.correct": For.PHONE,
    "bench.enter_code": For.ANYONE,
    "bench.entry": For.ANYONE,
    "bench.home": For.PHONE,
    "bench.how": For.PHONE,
    "bench.ice_point": For.PHONE,
    "bench.join_bench": For.ANYONE,
    "bench.keep_ice_point": For.PHONE,
    "bench.look": For.PHONE,
    "bench.move": For.PHONE,
    "bench.own_bench": For.PHONE,
    "bench.own_calculation": For.PHONE,
    "bench.progress": For.PHONE,
    "bench.run": For.PHONE,
    "bench.runs": For.PHONE,
    "bench.safety": For.PHONE,
    "bench.send": For.PHONE,
    "bench.store_correction": For.PHONE,
    "bench.take_home": For.PHONE,
    "bench.take_step": For.PHONE,
    "bench.token": For.ANYONE,
    "bench.waiting": For.PHONE,
    "bench.work_out": For.PHONE,
    "board.bench_sheet": For.LOOKERS_AT_IT,
    "board.figure": For.LOOKERS_AT_IT,
    "board.pause": For.RUNNERS_OF_IT,
    "board.picture": For.LOOKERS_AT_IT,
    "board.report": For.READERS_OF_IT,
    "board.report_figure": For.READERS_OF_IT,
    "board.report_file": For.READERS_OF_IT,
    "board.room": For.TEACHERS,
    "board.step": For.RUNNERS_OF_IT,
    "board.wall": For.LOOKERS_AT_IT,
    "department.archive": For.STAFF,
    "department.chart_drawing": For.STAFF,
    "department.deleted": For.HEADS,
    "department.glance": For.READERS_OF_IT,
    "department.invite": For.HEADS,
    "department.keeping": For.STAFF,
    "department.latest_year": For.STAFF,
    "department.log": For.HEADS,
    "department.make_password_link": For.HEADS_OF_IT,
    "department.over_the_years": For.STAFF,
    "department.person": For.PERSON_OF_IT,
    "department.person_file": For.PERSON_OF_IT,
    "department.remove": For.HEADS_OF_IT,
    "department.set_keeping": For.HEADS,
    "department.set_role": For.HEADS_OF_IT,
    "department.set_school_year": For.HEADS,
    "department.switch_teacher": For.HEADS_OF_IT,
    "department.take_back": For.HEADS_OF_IT,
    "department.take_off_second_step": For.HEADS_OF_IT,
    "department.teachers": For.HEADS,
    "department.year": For.STAFF,
    "desk.account": For.STAFF,
    "desk.answer_beyond_plan": For.RUNNERS_OF_IT,
    "desk.been_there": For.RUNNERS_OF_IT,
    "desk.bench": For.LOOKERS_AT_IT,
    "desk.bench_says_so": For.RUNNERS_OF_IT,
    "desk.card_code": For.LOOKERS_AT_IT,
    "desk.cards": For.LOOKERS_AT_IT,
    "desk.cards_pdf": For.LOOKERS_AT_IT,
    "desk.change_password": For.STAFF,
    "desk.change_plan": For.RUNNERS_OF_IT,
    "desk.change_second_step": For.STAFF,
    "desk.class_falls": For.LOOKERS_AT_IT,
    "desk.clear_bench_plans": For.RUNNERS_OF_IT,
    "desk.code_drawing": For.LOOKERS_AT_IT,
    "desk.code_now": For.RUNNERS_OF_IT,
    "desk.code_page": For.LOOKERS_AT_IT,
    "desk.copy": For.LOOKERS_AT_IT,
    "desk.correct": For.LOOKERS_AT_IT,
    "desk.correct_run": For.RUNNERS_OF_IT,
    "desk.decide_run": For.RUNNERS_OF_IT,
    "desk.decisions": For.LOOKERS_AT_IT,
    "desk.delete/GET": For.LOOKERS_AT_IT,
    "desk.delete/POST": For.OWNERS_OF_IT,
    "desk.end_cover": For.OWNERS_OF_IT,
    "desk.end_other_sessions": For.STAFF,
    "desk.end_rehearsal": For.RUNNERS_OF_IT,
    "desk.end_session": For.STAFF,
    "desk.enter_form": For.LOOKERS_AT_IT,
    "desk.enter_grid": For.RUNNERS_OF_IT,
    "desk.enter_run": For.RUNNERS_OF_IT,
    "desk.grid": For.LOOKERS_AT_IT,
    "desk.hand_it_over": For.OWNERS_OF_IT,
    "desk.hand_over": For.OWNERS_OF_IT,
    "desk.history": For.LOOKERS_AT_IT,
    "desk.home": For.STAFF,
    "desk.keep": For.RUNNERS_OF_IT,
    "desk.kept": For.LOOKERS_AT_IT,
    "desk.lesson": For.LOOKERS_AT_IT,
    "desk.live": For.LOOKERS_AT_IT,
    "desk.make_practical": For.TEACHERS,
    "desk.new_practical": For.TEACHERS,
    "desk.other_falls": For.TEACHERS,
    "desk.password": For.STAFF,
    "desk.plan": For.LOOKERS_AT_IT,
    "desk.plan_benches": For.RUNNERS_OF_IT,
    "desk.planner": For.LOOKERS_AT_IT,
    "desk.practical_document": For.READERS_OF_IT,
    "desk.rehearse": For.RUNNERS_OF_IT,
    "desk.release": For.RUNNERS_OF_IT,
    "desk.remove_words": For.RUNNERS_OF_IT,
    "desk.renumber": For.RUNNERS_OF_IT,
    "desk.runs_csv": For.READERS_OF_IT,
    "desk.runs_workbook": For.READERS_OF_IT,
    "desk.second_step_page": For.STAFF,
    "desk.set_bench_aside": For.RUNNERS_OF_IT,
    "desk.set_bench_ice_point": For.RUNNERS_OF_IT,
    "desk.set_room": For.RUNNERS_OF_IT,
    "desk.sign_out_everywhere": For.STAFF,
    "desk.take_step": For.RUNNERS_OF_IT,
    "desk.undo_bench_aside": For.RUNNERS_OF_IT,
    "desk.wall": For.RUNNERS_OF_IT,
    "health.health": For.ANYONE,
    "health.ready": For.ANYONE,
    "language.switch": For.ANYONE,
    "privacy.page": For.ANYONE,
    "sign_in.code_form": For.ANYONE,
    "sign_in.come_in": For.ANYONE,
    "sign_in.first_head": For.ANYONE,
    "sign_in.form": For.ANYONE,
    "sign_in.make_first_head": For.ANYONE,
    "sign_in.sign_in": For.ANYONE,
    "sign_in.sign_in_with_code": For.ANYONE,
    "sign_in.sign_out": For.STAFF,
    "sign_in.way_in": For.ANYONE,
    "static": For.ANYONE,
}
"""By endpoint; with the method behind a stroke where the methods of one are for different people."""


def declared(endpoint: str, method: str) -> For | None:
    """Whom a route is for; None where nobody said so."""
    return ROUTES.get(endpoint) or ROUTES.get(f"{endpoint}/{method}")


MAY: dict[For, frozenset[str]] = {
    For.STAFF: frozenset({"technician", "colleague", "owner", "cover", "head", "stranger"}),
    For.TEACHERS: frozenset({"colleague", "owner", "cover", "head", "stranger"}),
    For.HEADS: frozenset({"head", "stranger"}),
    For.HEADS_OF_IT: frozenset({"head"}),
    For.PERSON_OF_IT: frozenset({"colleague", "head"}),
    For.READERS_OF_IT: frozenset({"technician", "colleague", "owner", "cover", "head"}),
    For.LOOKERS_AT_IT: frozenset({"colleague", "owner", "cover", "head"}),
    For.RUNNERS_OF_IT: frozenset({"owner", "cover", "head"}),
    For.OWNERS_OF_IT: frozenset({"owner", "head"}),
    For.PHONE: frozenset({"phone"}),
}
"""Who may, of those that the walk sends; `stranger` is another department's head."""
