"""Bench cards: a page to print and a PDF."""

from __future__ import annotations

from flask import abort, request
from flask.typing import ResponseReturnValue

from app.exports.papers.card_text import PAPER_COLUMNS, PAPER_RUNS, BenchCard, CardPlan, bench_card
from app.practicals.lesson.details import PracticalDetails
from app.web.audience import audience
from app.web.desk.blueprint import blueprint, day, page, phone_address, practical_here
from app.web.desk.lesson.pages import qr_response
from app.web.desk.papers.downloads import file_name
from app.web.desk.plan.one_allowance import one_allowance_warning
from app.web.languages import say, text_direction
from app.web.replies import as_file

PAPERS = ("A4", "Letter")


@blueprint.get("/<int:practical_id>/cards")
@audience("teacher")
def cards(practical_id: int) -> ResponseReturnValue:
    """The cards of all benches, ready to print."""
    practical = practical_here(practical_id)
    paper, per_page = _layout()
    return page(
        "desk/cards.html",
        practical,
        "cards",
        cards=cards_of(practical),
        one_allowance=one_allowance_warning(practical.plan),
        paper=paper,
        per_page=per_page,
        address=phone_address(),
        paper_columns=PAPER_COLUMNS,
        paper_rows=range(1, PAPER_RUNS[per_page] + 1),
    )


@blueprint.get("/<int:practical_id>/cards.pdf")
@audience("teacher")
def cards_pdf(practical_id: int) -> ResponseReturnValue:
    """The cards of all benches as a PDF."""
    from app.exports.papers import cards as card_export  # noqa: PLC0415 - the PDF library is slow to load

    practical = practical_here(practical_id)
    paper, per_page = _layout()
    body = card_export.cards_pdf(
        cards_of(practical),
        say=say,
        paper="Letter" if paper == "Letter" else "A4",
        per_page=per_page,
        right_to_left=text_direction() == "rtl",
    )
    return as_file(body, "application/pdf", f"{file_name(practical)}-cards.pdf", opened=True)


@blueprint.get("/<int:practical_id>/card/<int:number>.svg")
@audience("teacher")
def card_code(practical_id: int, number: int) -> ResponseReturnValue:
    """The QR of one bench's card: the join link with the bench's number."""
    found = [card for card in cards_of(practical_here(practical_id)) if card.number == number]
    if not found or found[0].link is None:
        abort(404)
    return qr_response(found[0].link)


def cards_of(practical: PracticalDetails) -> list[BenchCard]:
    """A card for every planned bench."""
    plan = practical.plan
    lines = [plan.for_bench(number) for number in range(1, plan.planned_benches + 1)]
    return [
        bench_card(
            CardPlan(
                number=line.number,
                material=plan.material,
                accepted_J_per_kg_K=plan.accepted_J_per_kg_K,
                gravity_m_per_s2=plan.gravity_m_per_s2,
                tube_length_m=line.tube_length_m or plan.tube_length_m,
                end_allowance_m=plan.end_allowance_m
                if line.end_allowance_m is None
                else line.end_allowance_m,
                inversions=line.inversions or plan.inversions,
                thermometer_step_K=line.thermometer_step_K or plan.thermometer_step_K,
                shot_mass_kg=line.shot_mass_kg,
                start_temperature_C=line.start_temperature_C,
                depth_measured=plan.depth_measured,
                second_inversions=line.second_inversions,
                ice_point_asked=plan.thermometers_differ and line.ice_point_C is None,
            ),
            heading=plan.title,
            held_on=day(plan.held_on),
            address=phone_address(),
            code=practical.join_code,
            wifi_name=practical.wifi_name or "",
        )
        for line in lines
    ]


def _layout() -> tuple[str, int]:
    paper = request.args.get("paper", "A4")
    return (paper if paper in PAPERS else "A4"), 2 if request.args.get("per_page") == "2" else 1
