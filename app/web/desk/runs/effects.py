"""What a decision about one run would do to the class value: worked out again with that one thing changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from app.analysis.results import ClassValue, RunReadings, RunResult, SuspectedSlip
from app.physics.run import QUANTITIES
from app.practicals.board.cache import WorkedOutOnce
from app.practicals.board.snapshot import Snapshot, readings_of, settings_of

_KEPT = 512
_VALUES: WorkedOutOnce[object, tuple[ClassValue | None]] = WorkedOutOnce(_KEPT)

_BY_COLUMN = {quantity.column: quantity for quantity in QUANTITIES.values()}


@dataclass(frozen=True)
class Effects:
    """The class value as it stands, with this run the other way, and with its suspected slip undone."""

    as_it_stands: ClassValue | None
    the_other_way: ClassValue | None
    slip_undone: ClassValue | None


def effects_of(snapshot: Snapshot, bench: str, run: str) -> Effects:
    """The effects of deciding about one run."""
    readings = tuple(readings_of(one, snapshot.practical.plan) for one in snapshot.runs)
    place = next(n for n, one in enumerate(readings) if (one.bench, one.run) == (bench, run))
    this = readings[place]
    worked = snapshot.result.runs[place] if snapshot.result else None
    slip = worked.suspected_slip if worked else None
    undone = _undone(this, slip, worked) if slip and worked else None
    return Effects(
        as_it_stands=snapshot.result.class_value if snapshot.result else None,
        the_other_way=class_value_of(
            snapshot, _with(readings, place, replace(this, set_aside=not this.set_aside))
        ),
        slip_undone=class_value_of(snapshot, _with(readings, place, undone)) if undone else None,
    )


def class_value_of(snapshot: Snapshot, readings: Iterable[RunReadings]) -> ClassValue | None:
    """The class value of other readings under this practical's settings."""
    from app.analysis.analyse import analyse_class  # noqa: PLC0415 - brings scipy

    runs, settings = tuple(readings), settings_of(snapshot.practical.plan)
    return _VALUES.of((runs, settings), lambda: (analyse_class(runs, settings).class_value,))[0]


def with_every_run(snapshot: Snapshot) -> ClassValue | None:
    """The class value with nothing set aside."""
    plan = snapshot.practical.plan
    return class_value_of(
        snapshot, (replace(readings_of(run, plan), set_aside=False) for run in snapshot.runs)
    )


def _with(readings: tuple[RunReadings, ...], place: int, run: RunReadings) -> tuple[RunReadings, ...]:
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
