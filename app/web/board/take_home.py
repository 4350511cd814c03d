"""What one bench takes home: its own runs, the class's result and the figures, for the write-up.

The phone shows it after the last step of the wall; the desk prints it for any bench.
"""

from __future__ import annotations

from app.analysis.results import ClassResult
from app.exports.papers.report_parts import Block, Figure, Numbers, Paragraph, Report, Section
from app.figures.alternative import alternative, table
from app.figures.beyond import beyond_the_interval
from app.figures.findings import FINDERS, finding
from app.figures.of_bench import own_shares, own_words
from app.practicals.board.snapshot import Snapshot
from app.web.board.report_content import headline, not_measured, readings_of, set_up
from app.web.board.report_words import SAYS
from app.web.desk.blueprint import day
from app.web.desk.lesson.view import run_rows
from app.words import N_, Message

BENCH = N_("Bench %(bench)s")
OWN_LEDGER = Message(N_("Where your fall energy went"))
IN_NUMBERS = ("accepted", "ledger")
"""Figures whose numbers are the class's; those of each bench are in the class's table."""


def take_home_of(snapshot: Snapshot, bench_number: int) -> Report:
    """The sheet of one bench by its number; it names nobody."""
    practical, result, bench = snapshot.practical, snapshot.result, str(bench_number)
    held_on = day(practical.plan.held_on)
    under = (Message(BENCH, {"bench": bench}), held_on, *not_measured(snapshot))
    sections = [_own_runs(snapshot, bench_number)]
    if result is not None:
        sections += [_class(result), _own_ledger(result, bench), _figures(result, bench)]
    sections.append(set_up(practical.plan))
    filled = tuple(section for section in sections if section.blocks)
    return Report(practical.title, held_on, under, filled)


def _own_runs(snapshot: Snapshot, number: int) -> Section:
    own = [row for row in run_rows(snapshot) if row.run.bench_number == number]
    said = own_words("spread", snapshot.result, str(number)) if snapshot.result else ()
    readings = readings_of(own).blocks if own else ()
    return Section(SAYS["readings"], (*readings, *map(Paragraph, said)))


def _class(result: ClassResult) -> Section:
    blocks: list[Block] = [*headline(result.class_value), Paragraph(finding("spread", result), strong=True)]
    for name in ("accepted", "separated"):
        blocks.append(Paragraph(finding(name, result)))
        if beyond := beyond_the_interval(name, result):
            blocks.append(Paragraph(beyond))
    return Section(SAYS["result"], tuple(blocks))


def _own_ledger(result: ClassResult, bench: str) -> Section:
    shares = own_shares(result, bench)
    if shares is None:
        return Section(OWN_LEDGER, ())
    parts = Numbers(OWN_LEDGER, (shares.of, "J"), shares.parts, (3, 1))
    return Section(OWN_LEDGER, (parts, *map(Paragraph, shares.notes)))


def _figures(result: ClassResult, bench: str) -> Section:
    blocks: list[Block] = []
    for name in FINDERS:
        numbers = table(name, result)
        beside: tuple[Numbers, ...] = ()
        if name in IN_NUMBERS and numbers.lines:
            rows = tuple((line.words or "", *line.numbers) for line in numbers.lines)
            beside = Numbers(numbers.caption, numbers.columns, rows).halved()
        own = own_words(name, result, bench) if name != "spread" else ()  # said with the bench's runs
        blocks.append(Figure(name, finding(name, result), alternative(name, result), beside, own))
    return Section(SAYS["figures"], tuple(blocks))
