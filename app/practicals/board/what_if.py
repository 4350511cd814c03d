"""What a decision about one run would do to the class's result.

Setting a run or its bench aside is read from the same draws as the result itself; counting a run again and
correcting one are fitted anew. The snapshot gathers what is stored, `other_readings` decides what else it
would be, without a database or a clock, and the analysis answers. Nothing is changed.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from cachetools import LRUCache, cached

from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import RunResult, SuspectedSlip
from app.physics.run import QUANTITIES
from app.practicals.board.snapshot import Snapshot, readings_of, settings_of

if TYPE_CHECKING:
    from app.analysis.if_decided import IfDecided, Outcome

KEPT_CLASSES = 16
"""A fit holds some megabytes of draws."""

_Readings = tuple[RunReadings, ...]

_BY_COLUMN = {quantity.column: quantity for quantity in QUANTITIES.values()}


@dataclass(frozen=True)
class Effects:
    """The result as it stands, with this run the other way, with its whole bench set aside, and with the
    run's suspected slip undone; None where that is no other result."""

    as_it_stands: Outcome
    the_other_way: Outcome
    bench_set_aside: Outcome | None
    slip_undone: Outcome | None


@dataclass(frozen=True)
class OtherReadings:
    """The class's readings with one run counted, and with its suspected slip undone."""

    counted: _Readings
    slip_undone: _Readings | None


def what_if(snapshot: Snapshot, bench_number: int, run_number: int) -> Effects:
    """The effects of deciding about one run."""
    result, settings = snapshot.result, settings_of(snapshot.practical.plan)
    readings = tuple(readings_of(one, snapshot.practical.plan) for one in snapshot.runs)
    numbers = [(one.bench_number, one.number) for one in snapshot.runs]
    place = numbers.index((bench_number, run_number))
    this = readings[place]
    other = other_readings(readings, place, result.runs[place] if result else None)
    as_it_stands = _fitted(readings, settings)
    with_it = sum(one.bench == this.bench and not one.set_aside for one in readings)
    return Effects(
        as_it_stands=as_it_stands.as_it_stands(),
        the_other_way=_fitted(other.counted, settings).as_it_stands()
        if this.set_aside
        else as_it_stands.run_set_aside(place),
        bench_set_aside=as_it_stands.bench_set_aside(this.bench) if with_it > 1 else None,
        slip_undone=_fitted(other.slip_undone, settings).as_it_stands() if other.slip_undone else None,
    )


def with_every_run(snapshot: Snapshot) -> Outcome:
    """The result with nothing set aside."""
    plan = snapshot.practical.plan
    readings = tuple(replace(readings_of(run, plan), set_aside=False) for run in snapshot.runs)
    return _fitted(readings, settings_of(plan)).as_it_stands()


def other_readings(readings: _Readings, place: int, worked: RunResult | None) -> OtherReadings:
    """What the readings would be after each decision about the run at this place. Pure."""
    this = readings[place]
    slip = worked.suspected_slip if worked else None
    undone = _undone(this, slip, worked) if slip and worked else None
    return OtherReadings(
        counted=_with(readings, place, replace(this, set_aside=False)),
        slip_undone=_with(readings, place, undone) if undone else None,
    )


@cached(LRUCache(KEPT_CLASSES), condition=threading.Condition())
def _fitted(readings: _Readings, settings: ClassSettings) -> IfDecided:
    from app.analysis.if_decided import IfDecided  # noqa: PLC0415 - brings scipy

    return IfDecided(readings, settings)


def _with(readings: _Readings, place: int, run: RunReadings) -> _Readings:
    return (*readings[:place], run, *readings[place + 1 :])


def _undone(run: RunReadings, slip: SuspectedSlip, worked: RunResult) -> RunReadings:
    """The run with its suspected slip undone: one reading, both temperatures, or both lengths."""
    quantity = _BY_COLUMN[slip.field]
    single = _changed(run, {quantity.si_name: slip.corrected / quantity.per_si})
    start, end = run.start_temperature_C, run.end_temperature_C
    swapped = replace(run, start_temperature_C=end, end_temperature_C=start, set_aside=False)
    celsius = replace(
        run, start_temperature_C=(start - 32) * 5 / 9, end_temperature_C=(end - 32) * 5 / 9, set_aside=False
    )
    candidates = [single, swapped, celsius]
    if slip.as_entered:
        scale = slip.corrected / slip.as_entered
        both = {
            "tube_length_m": run.tube_length_m * scale,
            "end_allowance_m": run.end_allowance_m * scale,
        }
        candidates.append(_changed(run, both))
    g_N = worked.specific_energy_J_per_kg / worked.fall_m / run.inversions if worked.fall_m else 0.0
    return min(candidates, key=lambda one: abs(_apparent(one, g_N) - slip.apparent_heat_capacity_J_per_kg_K))


def _changed(run: RunReadings, readings: dict[str, float]) -> RunReadings:
    changes: dict[str, Any] = {**readings, "set_aside": False}
    return replace(run, **changes)


def _apparent(run: RunReadings, gravity: float) -> float:
    return gravity * run.fall_m * run.inversions / run.warming_K if run.warming_K > 0 else float("inf")
