"""What the lesson page shows, assembled from one snapshot of the class. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import attrgetter

from app.analysis.noticed import LessonPlan, Notice, noticed
from app.analysis.results import ClassResult, RunResult
from app.physics.materials import MATERIALS
from app.practicals.benches.watch import BenchDetails
from app.practicals.board.snapshot import Snapshot
from app.practicals.lesson.details import BenchPlanLine, Plan
from app.practicals.runs.reading import RunDetails
from app.records.choices import BenchProgress, PracticalState
from app.web.desk.lesson.attention import (
    Need,
    hands_first,
    needs_of_benches,
    needs_of_calculations,
    needs_of_unanswered,
)

STEPS = tuple(BenchProgress)
MOST_LISTED = 5
"""Of a bench's runs that came too fast, on the lesson page (our own choice); its own page lists all."""


@dataclass(frozen=True)
class RunRow:
    """One run as typed and as worked out; `worked` is None where it is no part of the class."""

    run: RunDetails
    worked: RunResult | None

    @property
    def flagged(self) -> bool:
        """Whether any rule wants a second look at it."""
        return bool(self.worked and self.worked.flags)


@dataclass(frozen=True)
class HeldBack:
    """The runs of one bench that came too fast and do not count: waiting for the teacher, or set aside."""

    bench: int
    waiting: tuple[RunDetails, ...]
    set_aside: tuple[RunDetails, ...]

    @property
    def runs(self) -> tuple[RunDetails, ...]:
        """Both kinds together, by run number."""
        return tuple(sorted((*self.waiting, *self.set_aside), key=attrgetter("number")))


@dataclass(frozen=True)
class BenchSlot:
    """One place in the class: a bench that is planned, joined or both."""

    number: int
    plan: BenchPlanLine
    bench: BenchDetails | None
    rows: tuple[RunRow, ...]
    held_back: HeldBack | None = None

    @property
    def all_rows(self) -> tuple[RunRow, ...]:
        """Its runs, those that came too fast and do not count among them."""
        return self._rows_with(self.held_back.runs if self.held_back else ())

    @property
    def listed_rows(self) -> tuple[RunRow, ...]:
        """Its runs, of those that came too fast no more than `MOST_LISTED`."""
        return self._rows_with(self.held_back.runs[:MOST_LISTED] if self.held_back else ())

    @property
    def rows_left_out(self) -> int:
        """How many runs `listed_rows` leaves out."""
        return len(self.all_rows) - len(self.listed_rows)

    def _rows_with(self, held_back: tuple[RunDetails, ...]) -> tuple[RunRow, ...]:
        return tuple(
            sorted((*self.rows, *(RunRow(run, None) for run in held_back)), key=lambda row: row.run.number)
        )

    @property
    def runs_are_in(self) -> bool:
        """Whether runs are in though its phone, if it has one, began none: they were typed at the desk."""
        return bool(self.rows) and (self.bench is None or self.bench.progress == BenchProgress.JOINED)

    @property
    def step(self) -> int:
        """How far its run is, from 0 (joined) to 4 (sent); −1 where nobody joined."""
        if self.runs_are_in:
            return len(STEPS) - 1
        return STEPS.index(self.bench.progress) if self.bench else -1

    @property
    def flagged(self) -> bool:
        """Whether any of its counted runs is flagged."""
        return any(row.flagged and not row.run.set_aside for row in self.rows)


@dataclass(frozen=True)
class LessonView:
    """The whole lesson at one revision."""

    slots: tuple[BenchSlot, ...]
    rows: tuple[RunRow, ...]
    needs: tuple[Need, ...]
    result: ClassResult | None
    looked_at: Collection[int] = ()
    may_rehearse: bool = False
    waiting: tuple[int, ...] = ()
    """Benches beyond the plan that wait to be let in."""
    held_back: tuple[HeldBack, ...] = ()
    room_is_known: bool = True
    """Whether anybody read the room temperature: without one no leak is in the result."""
    before_the_next_run: tuple[Notice, ...] = ()

    @property
    def runs_to_decide(self) -> tuple[HeldBack, ...]:
        """Benches with runs that came too fast and wait; they do so after the lesson as well."""
        return tuple(one for one in self.held_back if one.waiting)

    @property
    def runs_waiting(self) -> int:
        """How many runs that came too fast wait."""
        return sum(len(one.waiting) for one in self.held_back)

    @property
    def listed_rows(self) -> tuple[RunRow, ...]:
        """The listed runs of every bench."""
        return tuple(row for slot in self.slots for row in slot.listed_rows)

    @property
    def rows_left_out(self) -> Mapping[int, int]:
        """How many runs `listed_rows` leaves out, by bench; benches that lack none are not in it."""
        return {slot.number: slot.rows_left_out for slot in self.slots if slot.rows_left_out}

    @property
    def to_decide(self) -> tuple[RunRow, ...]:
        """Counted runs with a flag that nobody has decided about yet: the ones to look at."""
        return tuple(
            row
            for row in self.rows
            if row.flagged and not row.run.set_aside and row.run.run_id not in self.looked_at
        )

    @property
    def benches_sent(self) -> int:
        """Benches with at least one run."""
        return sum(1 for slot in self.slots if slot.rows)

    @property
    def waiting_to_send(self) -> int:
        """Runs that phones still hold."""
        return sum(slot.bench.waiting_to_send for slot in self.slots if slot.bench)


def held_back_by_bench(runs: Iterable[RunDetails]) -> tuple[HeldBack, ...]:
    """The runs held back, in the order of bench and number."""
    of_benches = ((bench, tuple(group)) for bench, group in groupby(runs, key=attrgetter("bench_number")))
    return tuple(
        HeldBack(bench, tuple(run for run in own if run.waits), tuple(run for run in own if not run.waits))
        for bench, own in of_benches
    )


def run_rows(snapshot: Snapshot) -> tuple[RunRow, ...]:
    """Every run with its result."""
    results = snapshot.result.runs if snapshot.result else ()
    worked = {(one.readings.bench, one.readings.run): one for one in results}
    return tuple(RunRow(run, worked.get((str(run.bench_number), str(run.number)))) for run in snapshot.runs)


def lesson_view(snapshot: Snapshot, now: datetime, looked_at: Collection[int] = ()) -> LessonView:
    """The lesson as it stands at `now`; `looked_at` are the runs that were decided about."""
    practical = snapshot.practical
    rows, over = run_rows(snapshot), practical.state == PracticalState.FINISHED
    benches: Mapping[int, BenchDetails] = {bench.number: bench for bench in snapshot.benches}
    held_back = {one.bench: one for one in held_back_by_bench(snapshot.held_back)}
    numbers = sorted({*range(1, practical.plan.planned_benches + 1), *benches})
    slots = tuple(
        BenchSlot(
            number=number,
            plan=practical.plan.for_bench(number),
            bench=benches.get(number),
            rows=tuple(row for row in rows if row.run.bench_number == number),
            held_back=held_back.get(number),
        )
        for number in numbers
    )
    return LessonView(
        slots=slots,
        rows=rows,
        needs=needs_of_class(snapshot, now),
        result=snapshot.result,
        looked_at=looked_at,
        waiting=tuple(bench.number for bench in snapshot.waiting),
        held_back=tuple(held_back.values()),
        room_is_known=practical.plan.room_temperature_C is not None
        or (snapshot.result is not None and snapshot.result.room_is_known),
        before_the_next_run=() if over else _before_the_next_run(snapshot.result, practical.plan),
        may_rehearse=not over and all(bench.simulated for bench in snapshot.benches),
    )


def needs_of_class(snapshot: Snapshot, now: datetime) -> tuple[Need, ...]:
    """Every reason to walk to a bench; a finished practical has none."""
    practical = snapshot.practical
    if practical.state == PracticalState.FINISHED:
        return ()
    of_benches = needs_of_benches(
        snapshot.benches,
        planned=practical.plan.planned_benches,
        open_since=practical.opened_at,
        collecting=practical.state == PracticalState.COLLECTING,
        now=now,
    )
    unanswered = needs_of_unanswered(snapshot.runs)
    return hands_first((*of_benches, *unanswered, *needs_of_calculations(snapshot.runs, practical.plan)))


def _before_the_next_run(result: ClassResult | None, plan: Plan) -> tuple[Notice, ...]:
    """What the runs so far show of a plan that goes wrong."""
    if result is None:
        return ()
    masses = {str(line.number): line.shot_mass_kg for line in plan.bench_plans}
    against = LessonPlan(
        benches=plan.planned_benches,
        density_kg_per_m3=MATERIALS[plan.material].density_kg_per_m3,
        thermometer_step_K=float(plan.thermometer_step_K),
        bore_m=None if plan.bore_m is None else float(plan.bore_m),
        depth_measured=plan.depth_measured,
        masses_kg={bench: float(mass) for bench, mass in masses.items() if mass is not None},
    )
    return noticed([run.readings for run in result.runs], against)
