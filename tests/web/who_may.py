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
    READERS_OF_IT = "everybody of the department of it, technicians too"
    LOOKERS_AT_IT = "teachers and heads of the department of it"
    RUNNERS_OF_IT = "its teacher, who covers it, and heads of its department"
    OWNERS_OF_IT = "its teacher and heads of its department"


ROUTES: dict[For, str] = {
    For.ANYONE: """
        bench.choose bench.enter_code bench.entry bench.join_bench bench.token language.switch privacy.page static
        sign_in.code_form sign_in.come_in sign_in.first_head sign_in.form sign_in.make_first_head
        sign_in.sign_in sign_in.sign_in_with_code sign_in.way_in
    """,
    For.PHONE: """
        bench.acknowledge bench.answer bench.call_for_help bench.class_csv bench.class_figure bench.class_now
        bench.correct bench.home bench.how bench.ice_point bench.keep_ice_point bench.look bench.move
        bench.own_bench bench.own_calculation bench.progress bench.run bench.runs bench.safety bench.send
        bench.store_correction bench.take_home bench.take_step bench.waiting bench.work_out
    """,
    For.STAFF: """
        department.archive department.keeping desk.account desk.change_password desk.change_second_step desk.end_other_sessions
        desk.end_session desk.home desk.password desk.second_step_page desk.sign_out_everywhere
        sign_in.sign_out
    """,
    For.TEACHERS: "board.room desk.make_practical desk.new_practical desk.other_falls",
    For.HEADS: "department.deleted department.invite department.log department.set_keeping department.teachers",
    For.HEADS_OF_IT: """
        department.make_password_link department.set_role department.switch_teacher department.take_back
        department.take_off_second_step
    """,
    For.READERS_OF_IT: """
        board.report board.report_figure board.report_file desk.practical_document desk.runs_csv
        desk.runs_workbook
    """,
    For.LOOKERS_AT_IT: """
        board.bench_sheet board.figure board.picture board.wall desk.bench desk.card_code desk.cards
        desk.cards_pdf desk.class_falls desk.code_drawing desk.code_page desk.copy desk.correct desk.decisions
        desk.delete/GET desk.enter_form desk.grid desk.history desk.kept desk.lesson desk.live desk.plan
        desk.planner
    """,
    For.RUNNERS_OF_IT: """
        board.pause board.step desk.answer_beyond_plan desk.been_there desk.bench_says_so desk.change_plan
        desk.clear_bench_plans desk.code_now desk.correct_run desk.decide_run desk.end_rehearsal
        desk.enter_grid desk.enter_run desk.keep desk.plan_benches desk.rehearse desk.release
        desk.remove_words desk.renumber desk.set_bench_aside desk.set_bench_ice_point desk.set_room
        desk.take_step desk.undo_bench_aside desk.wall
    """,
    For.OWNERS_OF_IT: "desk.delete/POST desk.end_cover desk.hand_it_over desk.hand_over",
}
"""Endpoints; with a method behind a stroke where the methods of one are for different people."""


def declared(endpoint: str, method: str) -> For | None:
    """Whom a route is for; None where nobody said so."""
    for audience, names in ROUTES.items():
        if {endpoint, f"{endpoint}/{method}"} & set(names.split()):
            return audience
    return None


MAY: dict[For, frozenset[str]] = {
    For.STAFF: frozenset({"technician", "colleague", "owner", "cover", "head", "stranger"}),
    For.TEACHERS: frozenset({"colleague", "owner", "cover", "head", "stranger"}),
    For.HEADS: frozenset({"head", "stranger"}),
    For.HEADS_OF_IT: frozenset({"head"}),
    For.READERS_OF_IT: frozenset({"technician", "colleague", "owner", "cover", "head"}),
    For.LOOKERS_AT_IT: frozenset({"colleague", "owner", "cover", "head"}),
    For.RUNNERS_OF_IT: frozenset({"owner", "cover", "head"}),
    For.OWNERS_OF_IT: frozenset({"owner", "head"}),
    For.PHONE: frozenset({"phone"}),
}
"""Who may, of those that the walk sends; `stranger` is another department's head."""
