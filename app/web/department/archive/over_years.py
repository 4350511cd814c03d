"""A metal over the years: its classes in a control chart, pooled, and the department's own heat sink."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flask import abort, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.analysis.figure import Figure
from app.figures.look import PAGE_ROOMS
from app.figures.of_department import OverYears, description, finding
from app.figures.studio import Drawing
from app.practicals.archive.compared import CLASS_VALUE, SPECIFIC_HEAT
from app.practicals.archive.over_years import (
    OfAPractical,
    metals_with_results,
    results_of_metal,
)
from app.practicals.archive.school_year import name_of, school_year
from app.practicals.archive.search import choices
from app.web.audience import audience
from app.web.board.pages import database_name, studio
from app.web.department.blueprint import blueprint
from app.web.desk.blueprint import metal_name
from app.web.desk.plan.own_sink import own_heat_sink
from app.web.forms import fingerprint
from app.web.languages import language, say, text_direction
from app.web.replies import as_figure
from app.web.storage import database
from app.words import Message

A_CHART = 60
"""Classes on one page of a chart (our own choice): with more, their intervals run into each other."""
QUANTITIES: dict[str, Message] = {"class-value": CLASS_VALUE, "specific-heat": SPECIFIC_HEAT}
SIZES = ("years", "phone")


@dataclass(frozen=True)
class OneChart:
    """The chart of one quantity, and what is written beside it."""

    quantity: str
    shown: OverYears
    practicals: tuple[OfAPractical, ...]
    """One for each class of the chart."""
    state: str
    """What tells its drawing from an earlier one."""

    @property
    def sentences(self) -> tuple[Message, ...]:
        """What it says."""
        return finding(self.shown)

    @property
    def alternative(self) -> tuple[Message, ...]:
        """What stands for the drawing."""
        return (description(self.shown), *self.sentences)

    @property
    def of_each(self) -> dict[int, tuple[Figure, bool]]:
        """By practical its figure on this page of the chart, and whether it lies outside its limits."""
        chart = self.shown.chart
        return {
            self.practicals[place].practical_id: (chart.classes[place], chart.is_outside(place))
            for place in self.shown.places
        }


@blueprint.get("/years/")
@audience("staff")
def over_the_years() -> ResponseReturnValue:
    """One metal over the years; without one in the address, the metal that was used most."""
    metals = metals_with_results(database(), actor=g.teacher)
    metal = request.args.get("metal") or next(iter(metals), "")
    if metals and metal not in metals:
        abort(404)
    results = results_of_metal(database(), actor=g.teacher, metal=metal)
    pages = max(1, -(-len(results) // A_CHART))
    number = min(max(1, request.args.get("page", 1, type=int)), pages)
    charts = {name: _chart(name, results, number) for name in QUANTITIES}
    return render_template(
        "department/over_years.html",
        metals=[(key, metal_name(key), count) for key, count in metals.items()],
        metal=metal,
        results=_page_of(results, number)[::-1],
        number=number,
        pages=pages,
        charts=charts,
        sink=own_heat_sink(),
    )


@blueprint.get("/years/<quantity>.svg")
@audience("staff")
def chart_drawing(quantity: str) -> ResponseReturnValue:
    """The drawing of a chart; its address says what it was made of."""
    room, size = request.args.get("room", "page"), request.args.get("size", "years")
    if quantity not in QUANTITIES or room not in PAGE_ROOMS or size not in SIZES:
        abort(404)
    metal = request.args.get("metal", "")
    results = results_of_metal(database(), actor=g.teacher, metal=metal)
    chart = _chart(quantity, results, max(1, request.args.get("page", 1, type=int)))
    wanted = Drawing(
        database_name(),
        g.teacher.department_id,
        0,
        "over-years",
        size,
        language(),
        room,
        right_to_left=text_direction() == "rtl",
        shows=f"{quantity} {chart.state}",
    )
    reply = as_figure(studio.draw(wanted, chart.shown, say), seconds=86_400)
    if request.args.get("state") != chart.state:
        reply.headers["Cache-Control"] = "no-store"  # of today, though the page that asks is older
    return reply


@blueprint.app_template_global("chart_address")
def chart_address(chart: OneChart, metal: str, page: int, size: str, room: str) -> str:
    """The address of a chart's drawing."""
    return url_for(
        "department.chart_drawing",
        quantity=chart.quantity,
        metal=metal,
        page=page,
        state=chart.state,
        size=size,
        room=room,
        language=language(),
    )


def _chart(quantity: str, results: Sequence[OfAPractical], page: int) -> OneChart:
    from app.analysis.over_years import chart_of  # noqa: PLC0415 - brings scipy

    found = [(one, figure) for one in results if (figure := _figure(quantity, one)) is not None]
    on_page = {one.practical_id for one in _page_of(results, page)}
    places = [place for place, (one, _figure_of) in enumerate(found) if one.practical_id in on_page]
    begins_in = choices(database(), actor=g.teacher).begins_in
    shown = OverYears(
        chart=chart_of([figure for _one, figure in found]),
        label=QUANTITIES[quantity],
        accepted=tuple(one.figures.accepted_J_per_kg_K for one, _figure_of in found),
        years=tuple(name_of(school_year(one.held_on, begins_in), begins_in) for one, _figure_of in found),
        places=range(places[0], places[-1] + 1) if places else range(0),
    )
    return OneChart(quantity, shown, tuple(one for one, _figure_of in found), fingerprint(_made_of(shown)))


def _made_of(shown: OverYears) -> str:
    """What the drawing shows, in short: the classes of its page, and what is of all."""
    chart, seen = shown.chart, slice(shown.places.start, shown.places.stop)
    page = chart.classes[seen], chart.limits[seen], shown.accepted[seen], shown.years[seen]
    return repr((shown.label.template, shown.places, chart.pooled, page))


def _figure(quantity: str, one: OfAPractical) -> Figure | None:
    return one.figures.class_value if quantity == "class-value" else one.figures.specific_heat


def _page_of(results: Sequence[OfAPractical], page: int) -> Sequence[OfAPractical]:
    """The newest ones are the first page; each is in the order of time."""
    until = len(results) - (page - 1) * A_CHART
    return results[max(0, until - A_CHART) : max(0, until)]
