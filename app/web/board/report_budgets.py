"""Where the uncertainties of the class and of a run come from, as sections of the report."""

from __future__ import annotations

from app.analysis.results import ClassResult, RunResult
from app.analysis.views.runs import budget_lines
from app.exports.next_time import typical_run
from app.exports.report_parts import Block, Numbers, Paragraph, Section
from app.figures.numbers import plain, signed, with_u
from app.physics.rounding import round_significant
from app.web.board.report_words import CLASS_SOURCES, SAYS
from app.words import Message

NONE = "–"


def class_budget(result: ClassResult) -> Section:
    """What makes the class's result uncertain, the largest first, and what would help against that."""
    if not result.class_budget:
        return Section(SAYS["class budget"], ())
    rows = tuple(
        (
            CLASS_SOURCES[line.source],
            plain(round_significant(line.standard_uncertainty_J_per_kg_K, 2)),
            plain(f"{100 * line.share_of_variance:.0f}"),
        )
        for line in result.class_budget
    )
    head = (SAYS["source of u"], SAYS["share of u"], SAYS["share of variance"])
    return Section(
        SAYS["class budget"],
        (
            Numbers(SAYS["class budget"], head, rows, (5, 2, 2)),
            Paragraph(SAYS["helps most"]),
            Paragraph(result.class_budget[0].advice),
            *_room_unknown(result),
            *_what_priors_do(result),
        ),
    )


def _room_unknown(result: ClassResult) -> list[Block]:
    """How large a leak may be that nobody can see, unless it is the largest line and said already."""
    if result.room_is_known:
        return []
    return [Paragraph(line.advice) for line in result.class_budget[1:] if line.source == "room"]


def _what_priors_do(result: ClassResult) -> list[Block]:
    wider = result.with_wider_priors
    if wider is None:
        return []
    if result.separated.identifiable:
        words, moves = SAYS["specific heat moves"], wider.specific_heat_moves_percent
    else:
        words, moves = SAYS["class value moves"], wider.class_value_moves_percent
    return [Paragraph(Message(words.template, {"percent": signed(f"{moves:.1f}")}))]


def run_budget(result: ClassResult) -> Section:
    counted = [run for run in result.runs if not run.readings.set_aside and run.warming_K > 0 and run.budget]
    if not counted:
        return Section(SAYS["budget"], ())
    run = typical_run(counted)
    assert run.budget is not None
    which = {"bench": run.readings.bench, "run": run.readings.run, "value": run_value(run)}
    rows = tuple(
        (
            line.source,
            plain(round_significant(line.u_input, 2)),
            line.unit,
            plain(round_significant(line.contribution_J_per_kg_K, 2)),
        )
        for line in budget_lines(run.budget, result.settings)
    )
    head = (SAYS["source of u"], SAYS["u"], SAYS["unit"], SAYS["share of u"])
    words = Message(SAYS["typical"].template, which)
    return Section(SAYS["budget"], (Paragraph(words), Numbers(SAYS["budget"], head, rows, (4, 2, 1, 2))))


def run_value(run: RunResult) -> str:
    value, u = run.apparent_heat_capacity_J_per_kg_K, run.standard_uncertainty_J_per_kg_K
    if value is None:
        return NONE
    return f"{with_u(value, u)} ± {round_significant(u, 2)}" if u else with_u(value, None)
