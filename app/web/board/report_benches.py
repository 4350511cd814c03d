"""What each bench was given by the plan, beside what it used: told apart where the two differ."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.exports.papers.report_parts import ABSENT, Numbers, Section, Words
from app.figures.numbers import low_to_high, plain, signed
from app.physics.reading.readings import decimal_text
from app.physics.rounding import shortest
from app.practicals.benches.ice_point import ice_point_of
from app.practicals.benches.watch import BenchDetails
from app.practicals.board.snapshot import Snapshot
from app.practicals.lesson.details import BenchPlanLine, Plan
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.reading import RunDetails
from app.web.board.report_words import GIVEN_AND_USED, SAYS
from app.words import Message

_TOLD_ONE_BY_ONE = 4
_PLACES = Decimal("0.01")


@dataclass(frozen=True)
class _Bench:
    """A bench with the plan's line for it and its runs in order."""

    number: int
    plan: Plan
    own: BenchPlanLine
    joined: BenchDetails | None
    runs: tuple[RunDetails, ...]


_Figures = Callable[[_Bench], Sequence[Decimal | None]]


def given_and_used(snapshot: Snapshot) -> Section:
    """A row for each bench that is planned or has sent a run."""
    plan, joined = snapshot.practical.plan, {bench.number: bench for bench in snapshot.benches}
    numbers = sorted({*range(1, plan.planned_benches + 1), *(run.bench_number for run in snapshot.runs)})
    benches = [
        _Bench(
            number,
            plan,
            plan.own_line(number),
            joined.get(number),
            snapshot.runs_of(number),
        )
        for number in numbers
    ]
    shown = [name for name in GIVEN_AND_USED if name not in _IS_GIVEN or any(map(_IS_GIVEN[name], benches))]
    head: list[Words] = [SAYS["bench column"]]
    columns: list[list[Words]] = [[str(bench.number) for bench in benches]]
    for name in shown:
        for words, figures in zip(GIVEN_AND_USED[name], _FIGURES[name], strict=True):
            column = [_written(figures(bench)) for bench in benches]
            if set(map(str, column)) != {ABSENT}:
                head.append(words)
                columns.append(column)
    rows = tuple(zip(*columns, strict=True))
    return Section(SAYS["given and used"], (Numbers(SAYS["given and used"], tuple(head), rows),))


def _written(figures: Sequence[Decimal | None]) -> Words:
    """One figure where all are alike; else each in the order of the runs, or from the least to the most."""
    known = [figure for figure in figures if figure is not None]
    texts = [decimal_text(figure) for figure in known]
    if not texts:
        return ABSENT
    if len(set(known)) == 1:
        return plain(texts[0])
    if len(texts) <= _TOLD_ONE_BY_ONE:
        places = {f"n{number}": signed(text) for number, text in enumerate(texts)}
        return Message(" · ".join(f"%({place})s" for place in places), places)
    low, high = decimal_text(min(known)), decimal_text(max(known))
    return low_to_high(signed(low), signed(high))


def _typed(name: str, shift: int = 0) -> _Figures:
    """What the runs were typed with, in the unit of the head."""
    return lambda bench: [_in_unit(run.entry, name, shift) for run in bench.runs]


def _in_unit(entry: RunEntry, name: str, shift: int) -> Decimal:
    value = entry.of[name].value
    if shift:
        return Decimal(shortest(value.scaleb(shift)))
    return value if value == value.quantize(_PLACES) else value.quantize(_PLACES)  # typed in °F


def _planned(name: str, shift: int = 0) -> _Figures:
    """What the plan gives the bench, or every bench."""

    def figures(bench: _Bench) -> list[Decimal | None]:
        value: Decimal | None = getattr(bench.plan.for_bench(bench.number), name)
        return [None if value is None else Decimal(shortest(value.scaleb(shift)))]

    return figures


def _counts(bench: _Bench) -> list[Decimal | None]:
    """A count for each run: as many as the bench made, both where the plan has two."""
    two = bench.own.second_inversions is not None
    runs = max(len(bench.runs), 2 if two else 1)
    return [Decimal(bench.plan.count_of_run(bench.number, run)) for run in range(1, runs + 1)]


def _shown_in_ice(bench: _Bench) -> list[Decimal | None]:
    found = ice_point_of(bench.plan, bench.number, bench.joined)
    return [None if found is None else found.value_C]


_IS_GIVEN: dict[str, Callable[[_Bench], bool]] = {
    "tube": lambda bench: bench.own.tube_length_m is not None,
    "ends": lambda bench: bench.own.end_allowance_m is not None and not bench.plan.depth_measured,
    "step": lambda bench: bench.own.thermometer_step_K is not None,
    "ice": lambda bench: _shown_in_ice(bench) != [None],
}
"""Whether a bench has a figure of its own, for columns that are left out where nobody has one."""
_FIGURES: dict[str, tuple[_Figures, ...]] = {
    "mass": (_planned("shot_mass_kg", 3), _typed("shot_mass", 3)),
    "tube": (_planned("tube_length_m", 2), _typed("tube_length", 2)),
    "ends": (_planned("end_allowance_m", 2), _typed("end_allowance", 2)),
    "start": (_planned("start_temperature_C"), _typed("start_temperature")),
    "count": (_counts, _typed("inversions")),
    "step": (_planned("thermometer_step_K"),),
    "ice": (_shown_in_ice,),
}
"""For each quantity what the plan gives and, where a bench types it, what was typed."""
