"""A school year at a glance: each practical's spread as a small multiple, and a table that stands for all."""

from __future__ import annotations

from statistics import quantiles

from flask import abort, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.analysis.results import Interval
from app.figures.look import PAGE_ROOMS
from app.figures.of_department import STEP, WIDEST, Glance, scale_of
from app.figures.studio import Drawing
from app.practicals.archive.over_years import (
    AtAGlance,
    YearPage,
    newest_finished_day,
    one_at_a_glance,
    year_at_a_glance,
)
from app.practicals.archive.school_year import days_of, name_of, school_year
from app.practicals.archive.search import choices
from app.web.audience import audience, now
from app.web.board.pages import database_name, studio
from app.web.department.archive.filters import named_years
from app.web.department.blueprint import blueprint
from app.web.languages import language, say, text_direction
from app.web.replies import as_figure
from app.web.storage import database, settings

FEWEST_FOR_QUARTILES = 4


@blueprint.app_template_filter("middle_half")
def middle_half(one: AtAGlance) -> Interval | None:
    """From the first to the third quartile of the runs that counted; None of fewer than four."""
    counted = [value for value, aside in one.runs if value is not None and not aside]
    if len(counted) < FEWEST_FOR_QUARTILES:
        return None
    first, _second, third = quantiles(counted, n=4, method="inclusive")
    return first, third


@blueprint.get("/year/")
@audience("staff")
def latest_year() -> ResponseReturnValue:
    """The school year of the newest finished practical; without one, this year's."""
    begins_in = choices(database(), actor=g.teacher).begins_in
    day = newest_finished_day(database(), actor=g.teacher) or settings().local_day(now())
    return redirect(url_for("department.year", year=school_year(day, begins_in)))


@blueprint.get("/year/<int:year>/")
@audience("staff")
def year(year: int) -> ResponseReturnValue:
    """A page of this school year's finished practicals."""
    offered = choices(database(), actor=g.teacher)
    try:
        days_of(year, offered.begins_in)
    except ValueError:
        abort(404)
    number = request.args.get("page", 1, type=int)
    found = year_at_a_glance(database(), actor=g.teacher, year=year, page=number)
    return render_template(
        "department/year.html",
        found=found,
        year=year,
        name=name_of(year, offered.begins_in),
        years=named_years(offered),
        scale=_scale(found),
    )


@blueprint.get("/glance/<int:practical_id>.svg")
@audience("staff")
def glance(practical_id: int) -> ResponseReturnValue:
    """One practical's small drawing, on the scale that its page has."""
    low, high = (request.args.get(end, 0, type=int) for end in ("low", "high"))
    room = request.args.get("room", "page")
    if room not in PAGE_ROOMS or not -WIDEST <= low < 0 < high <= WIDEST or low % STEP or high % STEP:
        abort(404)
    one = one_at_a_glance(database(), actor=g.teacher, practical_id=practical_id)
    if one is None:
        abort(404)
    wanted = Drawing(
        database_name(),
        practical_id,
        one.kept_id,
        "at-a-glance",
        "glance",
        language(),
        room,
        right_to_left=text_direction() == "rtl",
        shows=f"{low} {high}",
    )
    return as_figure(studio.draw(wanted, glance_of(one, (low, high)), say), seconds=86_400)


def glance_of(one: AtAGlance, scale: tuple[int, int]) -> Glance:
    """What the drawing of a practical shows, in percent from its own accepted value."""
    accepted = one.of.figures.accepted_J_per_kg_K

    def percent(value: float) -> float:
        return 100 * (value / accepted - 1)

    value = one.of.figures.class_value
    interval: Interval | None = None
    if value is not None and value.interval is not None:
        interval = percent(value.interval[0]), percent(value.interval[1])
    runs = [(percent(found), aside) for found, aside in one.runs if found is not None]
    return Glance(
        counted=tuple(found for found, aside in runs if not aside),
        aside=tuple(found for found, aside in runs if aside),
        value=None if value is None else percent(value.value),
        interval=interval,
        scale=scale,
    )


def _scale(found: YearPage) -> tuple[int, int]:
    """One for all of a page: their counted runs, and the ends of their intervals."""
    shown: list[float] = []
    for one in found.practicals:
        drawn = glance_of(one, (0, 0))
        shown += [*drawn.counted, *(drawn.interval or ())]
    return scale_of(shown)
