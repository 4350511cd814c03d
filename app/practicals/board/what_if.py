"""What a decision about one run would do to the class value: worked out again with that one thing changed.

The snapshot gathers what is stored, `other_readings` decides what else it would be, without a database or a
clock, and the analysis answers. Nothing is changed.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from typing import Any

from cachetools import LRUCache, cached

from app.analysis.results import ClassSettings, ClassValue, RunReadings, RunResult, SuspectedSlip
from app.physics.run import QUANTITIES
from app.practicals.board.snapshot import Snapshot, readings_of, settings_of

KEPT_VALUES = 512

_Readings = tuple[RunReadings, ...]

_BY_COLUMN = {quantity.column: quantity for quantity in QUANTITIES.values()}


@dataclass(frozen=True)
class Effects:
    """The class value as it stands, with this run the other way, and with its suspected slip undone."""

    as_it_stands: ClassValue | None
    the_other_way: ClassValue | None
    slip_undone: ClassValue | None


@dataclass(frozen=True)
class OtherReadings:
    """The class's readings with one run the other way, and with its suspected slip undone."""

    the_other_way: _Readings
    slip_undone: _Readings | None


def what_if(snapshot: Snapshot, bench_number: int, run_number: int) -> Effects:
    """The effects of deciding about one run."""
    result, settings = snapshot.result, settings_of(snapshot.practical.plan)
    readings = tuple(readings_of(one, snapshot.practical.plan) for one in snapshot.runs)
    numbers = [(one.bench_number, one.number) for one in snapshot.runs]
    place = numbers.index((bench_number, run_number))
    other = other_readings(readings, place, result.runs[place] if result else None)
    return Effects(
        as_it_stands=result.class_value if result else None,
        the_other_way=_class_value(other.the_other_way, settings),
        slip_undone=_class_value(other.slip_undone, settings) if other.slip_undone else None,
    )


def with_every_run(snapshot: Snapshot) -> ClassValue | None:
    """The class value with nothing set aside."""
    plan = snapshot.practical.plan
    readings = tuple(replace(readings_of(run, plan), set_aside=False) for run in snapshot.runs)
    return _class_value(readings, settings_of(plan))


def other_readings(readings: _Readings, place: int, worked: RunResult | None) -> OtherReadings:
    """What the readings would be after each decision about the run at this place. Pure."""
    this = readings[place]
    slip = worked.suspected_slip if worked else None
    undone = _undone(this, slip, worked) if slip and worked else None
    return OtherReadings(
        the_other_way=_with(readings, place, replace(this, set_aside=not this.set_aside)),
        slip_undone=_with(readings, place, undone) if undone else None,
    )


@cached(LRUCache(KEPT_VALUES), condition=threading.Condition())
def _class_value(readings: _Readings, settings: ClassSettings) -> ClassValue | None:
    from app.analysis.analyse import analyse_class  # noqa: PLC0415 - brings scipy

    return analyse_class(readings, settings).class_value


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
