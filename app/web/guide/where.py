"""Which paragraph of the guide explains which page of the tool."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from flask import request, url_for


class Place(NamedTuple):
    """A paragraph of the guide: the page's slug and the anchor."""

    slug: str
    anchor: str


EXPLAINED_AT: Mapping[Place, tuple[str, ...]] = {
    Place("practical", "plan"): ("desk.plan", "desk.change_plan"),
    Place("lesson", "before"): (
        *("desk.home", "desk.new_practical", "desk.make_practical", "desk.copy", "desk.cards"),
        *("desk.cards_pdf", "desk.first", "desk.begin_first", "desk.turn_first", "desk.end_first"),
    ),
    Place("lesson", "minutes"): (
        *("desk.lesson", "desk.take_step", "desk.set_room", "desk.rehearse", "desk.end_rehearsal"),
    ),
    Place("lesson", "students"): (
        *("bench.entry", "bench.enter_code", "bench.choose", "bench.join_bench", "bench.home"),
        *("bench.safety", "bench.acknowledge", "bench.call_for_help", "bench.run", "bench.take_step"),
        *("bench.runs", "bench.answer", "bench.correct", "bench.store_correction"),
    ),
    Place("lesson", "wall"): ("board.wall", "board.step", "board.pause", "board.room"),
    Place("lesson", "taps"): (
        *("desk.code_page", "desk.code_now", "desk.enter_form", "desk.enter_run", "desk.wall"),
        "desk.answer_beyond_plan",
    ),
    Place("lesson", "deciding"): (
        *("desk.decisions", "desk.decide_run", "desk.set_bench_aside", "desk.undo_bench_aside"),
        *("desk.correct", "desk.correct_run", "desk.been_there", "desk.bench_says_so"),
        "desk.set_bench_ice_point",
    ),
    Place("numbers", "class"): (
        *("board.report", "board.report_file", "board.bench_sheet", "bench.take_home"),
    ),
    Place("numbers", "usual-warming"): ("bench.how",),
    Place("numbers", "own-working"): ("bench.work_out", "bench.own_calculation"),
    Place("numbers", "counted"): ("desk.history",),
    Place("numbers", "planner"): ("desk.planner", "desk.plan_benches", "desk.clear_bench_plans"),
    Place("numbers", "falls"): ("desk.other_falls", "desk.class_falls"),
    Place("numbers", "years"): ("department.over_the_years",),
    Place("numbers", "pieces"): ("department.shifts",),
    Place("trouble", "reach"): (*("desk.phones", "desk.phones_of_lesson", "desk.set_wifi", "bench.reached"),),
    Place("trouble", "bench"): ("bench.own_bench", "bench.waiting", "bench.move"),
    Place("trouble", "phone"): ("desk.bench", "desk.release", "desk.renumber"),
    Place("technician", "pieces"): (
        *("department.kit", "department.piece", "department.new_piece", "department.add_piece"),
        *("department.change_piece", "department.retire_piece", "department.remove_piece"),
    ),
    Place("technician", "labels"): ("department.labels", "department.labels_pdf"),
    Place("technician", "set-out"): ("department.set_out_sheet",),
    Place("technician", "ice"): ("department.check_piece", "bench.ice_point", "bench.keep_ice_point"),
    Place("department", "people"): (
        *("sign_in.first_head", "sign_in.make_first_head", "sign_in.way_in", "sign_in.come_in"),
        *("department.teachers", "department.invite", "department.set_role", "department.switch_teacher"),
        *("department.take_back", "department.make_password_link"),
    ),
    Place("department", "sign-in"): (
        *("sign_in.form", "sign_in.sign_in", "sign_in.code_form", "sign_in.sign_in_with_code"),
        *("sign_in.sign_out", "desk.account", "desk.password", "desk.change_password"),
        *("desk.second_step_page", "desk.change_second_step", "department.take_off_second_step"),
        *("desk.end_session", "desk.end_other_sessions", "desk.sign_out_everywhere"),
    ),
    Place("department", "covers"): ("desk.hand_over", "desk.hand_it_over", "desk.end_cover"),
    Place("department", "archive"): ("department.archive", "department.set_school_year"),
    Place("department", "kept"): ("desk.kept", "desk.keep"),
    Place("department", "year"): ("department.latest_year", "department.year"),
    Place("department", "log"): ("department.log",),
    Place("department", "keeping"): ("department.keeping", "department.set_keeping"),
    Place("department", "deletion"): ("desk.delete", "department.deleted"),
    Place("department", "students"): ("privacy.page", "desk.remove_words"),
    Place("department", "teachers"): ("department.person", "department.person_file", "department.remove"),
    Place("department", "out"): ("department.export", "department.export_file", "department.stop_export"),
    Place("department", "in"): ("department.bring_in", "department.take_file"),
    Place("department", "table-in"): ("department.match_table",),
    Place("department", "by-hand"): ("desk.grid", "desk.enter_grid"),
    Place("running", "health"): ("health.health", "health.ready"),
    Place("files", "tables"): ("desk.runs_csv", "desk.decisions_csv"),
    Place("files", "bench-table"): ("bench.class_csv",),
    Place("files", "csvw"): ("desk.tables_metadata",),
    Place("files", "workbook"): ("desk.runs_workbook",),
    Place("files", "document"): ("desk.practical_document",),
}
"""Each paragraph with the endpoints of the pages and files that it explains; an answer has its form's."""

PLACE_OF: Mapping[str, Place] = {
    endpoint: place for place, endpoints in EXPLAINED_AT.items() for endpoint in endpoints
}


def guide_address() -> str:
    """Where the guide explains the page of this request; its contents, where no paragraph does."""
    place = PLACE_OF.get(request.endpoint or "")
    if place is None:
        return url_for("guide.contents")
    return url_for("guide.page", slug=place.slug, _anchor=place.anchor)


def is_in_guide() -> bool:
    """Whether the page of this request is one of the guide's own."""
    return request.blueprint == "guide"
