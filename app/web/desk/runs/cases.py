"""The runs to decide about and those decided about, a page of each at a time, with what a decision would do.

A page works out what its own runs need and no more. In a large class each outcome can be a fit of some
seconds, so there it is worked out for the one run for which it is asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.practicals.board.snapshot import Snapshot
from app.practicals.board.what_if import Effects, what_if
from app.practicals.runs.decisions import LastDecision
from app.practicals.runs.reading import RunDetails
from app.practicals.runs.slip_undone import texts_undone
from app.practicals.runs.whole_bench import state_of_bench
from app.web.desk.lesson.view import RunRow, run_rows
from app.web.desk.runs.strip import Strip, strip_of

PER_PAGE = 10
LARGE_CLASS = 100
"""A class of more runs is large: 32 benches of three runs are not (our own choice)."""


@dataclass(frozen=True)
class Asked:
    """What a page was asked for: a page of each list, the run it is about, whose effects to work out."""

    open_page: int = 1
    decided_page: int = 1
    run: int | None = None
    effects: int | None = None


@dataclass(frozen=True)
class Case:
    """One run to decide about, or decided about. `effects` is None where nobody asked for them yet.

    `becomes`: the texts of its readings with the suspected slip undone, by field; empty without one.
    """

    row: RunRow
    decision: LastDecision | None
    looked_at: bool
    effects: Effects | None = None
    strip: Strip | None = None
    becomes: Mapping[str, str] | None = None

    @property
    def open(self) -> bool:
        """Flagged, counted, and nobody has looked at it as it stands now."""
        return self.row.flagged and not self.row.run.set_aside and not self.looked_at


@dataclass(frozen=True)
class CasePage:
    """A part of a list: its cases, which page it is, and how many there are of both."""

    cases: tuple[Case, ...]
    number: int
    pages: int
    all: int

    @property
    def first(self) -> int:
        """The place in the whole list of the first case here."""
        return (self.number - 1) * PER_PAGE + 1


@dataclass(frozen=True)
class BenchChoice:
    """A bench that can be set aside as a whole, with its state as the page shows it."""

    number: int
    counted: int
    waiting: int
    state: str


@dataclass(frozen=True)
class Decisions:
    """All that the page shows of runs."""

    open: CasePage
    decided: CasePage
    benches: tuple[BenchChoice, ...]
    large: bool


def decisions_of(
    snapshot: Snapshot, last: Mapping[int, LastDecision], looked_at: frozenset[int], asked: Asked
) -> Decisions:
    """The two lists at the pages asked for; a page beyond the end is the last one."""
    rows = run_rows(snapshot)
    cases = [
        Case(row, last.get(row.run.run_id), row.run.run_id in looked_at)
        for row in rows
        if row.flagged or row.run.set_aside or row.run.run_id in last or row.run.run_id == asked.run
    ]
    large = len(rows) > LARGE_CLASS

    def page(of: list[Case], number: int) -> CasePage:
        pages = max(1, -(-len(of) // PER_PAGE))
        about = next((place for place, case in enumerate(of) if case.row.run.run_id == asked.run), None)
        here = min(max(1, number if about is None else 1 + about // PER_PAGE), pages)
        shown = of[(here - 1) * PER_PAGE : here * PER_PAGE]
        return CasePage(
            tuple(_worked_out(case, rows, snapshot, asked, large) for case in shown), here, pages, len(of)
        )

    return Decisions(
        open=page([case for case in cases if case.open], asked.open_page),
        decided=page(
            sorted((case for case in cases if not case.open), key=_latest_first), asked.decided_page
        ),
        benches=_benches(snapshot.all_runs),
        large=large,
    )


def _latest_first(case: Case) -> float:
    return -case.decision.at.timestamp() if case.decision else 0.0


def _worked_out(case: Case, rows: Sequence[RunRow], snapshot: Snapshot, asked: Asked, large: bool) -> Case:
    run, worked = case.row.run, case.row.worked
    value = snapshot.result.class_value if snapshot.result else None
    slip = worked.suspected_slip if worked else None
    wanted = not large or asked.effects == run.run_id
    return replace(
        case,
        effects=what_if(snapshot, run.bench_number, run.number) if wanted else None,
        strip=strip_of(rows, case.row, value),
        becomes=texts_undone(run.entry, slip.readings) if slip else {},
    )


def _benches(runs: Sequence[RunDetails]) -> tuple[BenchChoice, ...]:
    """Every bench with a run that counts or waits, by number."""
    of_bench: dict[int, list[RunDetails]] = {}
    for run in runs:
        of_bench.setdefault(run.bench_number, []).append(run)
    return tuple(
        BenchChoice(
            number,
            sum(run.counts for run in own),
            sum(run.waits for run in own),
            state_of_bench((run.run_revision, run.set_aside) for run in own),
        )
        for number, own in sorted(of_bench.items())
        if not all(run.set_aside for run in own)
    )
