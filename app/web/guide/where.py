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
        "desk.home",
        "desk.new_practical",
        "desk.make_practical",
        "desk.copy",
        "desk.cards",
        "department.set_out_sheet",
    ),
    Place("lesson", "minutes"): (
        "desk.lesson",
        "desk.take_step",
        "desk.set_room",
        "desk.rehearse",
        "desk.end_rehearsal",
    ),
    Place("lesson", "taps"): (
        "desk.code_page",
        "desk.code_now",
        "desk.grid",
        "desk.enter_grid",
        "desk.enter_form",
        "desk.enter_run",
        "desk.hand_over",
        "desk.hand_it_over",
        "desk.end_cover",
        "desk.wall",
    ),
    Place("lesson", "wall"): ("board.wall",),
    Place("lesson", "deciding"): (
        "desk.decisions",
        "desk.decide_run",
        "desk.set_bench_aside",
        "desk.undo_bench_aside",
        "desk.correct",
        "desk.correct_run",
        "desk.bench",
        "desk.been_there",
        "desk.answer_beyond_plan",
        "desk.bench_says_so",
        "desk.release",
        "desk.renumber",
        "desk.set_bench_ice_point",
        "desk.remove_words",
    ),
    Place("lesson", "after"): ("desk.delete",),
    Place("lesson", "students"): (
        "bench.entry",
        "bench.enter_code",
        "bench.choose",
        "bench.join_bench",
        "bench.home",
        "bench.safety",
        "bench.acknowledge",
        "bench.waiting",
        "bench.own_bench",
        "bench.move",
        "bench.call_for_help",
        "bench.ice_point",
        "bench.keep_ice_point",
        "bench.run",
        "bench.take_step",
        "bench.runs",
        "bench.answer",
        "bench.correct",
        "bench.store_correction",
    ),
    Place("numbers", "class"): ("board.report", "board.bench_sheet", "bench.take_home"),
    Place("numbers", "usual-warming"): ("bench.how",),
    Place("numbers", "own-working"): ("bench.work_out", "bench.own_calculation"),
    Place("numbers", "counted"): ("desk.history",),
    Place("numbers", "planner"): ("desk.planner", "desk.plan_benches", "desk.clear_bench_plans"),
    Place("numbers", "falls"): ("desk.other_falls", "desk.class_falls"),
    Place("numbers", "kept"): ("desk.kept", "desk.keep"),
    Place("numbers", "years"): ("department.over_the_years", "department.year", "department.latest_year"),
    Place("numbers", "pieces"): ("department.shifts",),
}
"""Each paragraph with the endpoints of the pages that it explains; a form's answer has the form's."""

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
