"""One simulated class through the whole analysis, and what of its result was right."""

from __future__ import annotations

from typing import Any

import numpy as np

from app.analysis.analyse import analyse_class
from app.analysis.fit.allowance import CLASS_VALUE_TOO_HIGH, SPECIFIC_HEAT_TOO_HIGH
from app.analysis.readings import RunReadings
from app.analysis.results import ODD_FROM, ClassResult, ClassValue, RunResult
from app.physics.run import LabelledReadings
from tests.benchmarks.calibration.settings import Setting
from tests.simulated_room import Room, RoomRun, simulate_room

Figures = dict[str, Any]
WARNINGS = (CLASS_VALUE_TOO_HIGH, SPECIFIC_HEAT_TOO_HIGH)
MOVES_BY = 0.4
"""A slip that moves c* by this share, or takes it away, must be noticed."""
NORMAL_95 = 1.96


def one_class(rng: np.random.Generator, setting: Setting) -> Figures:
    """What one class gives, as numbers for a file; what it does not give is not there."""
    made = simulate_room(rng, setting.room)
    result = analyse_class([readings(run) for run in made], setting.analysed)
    value = result.class_value
    return {
        "refused": value is None,
        "told apart": result.separated.identifiable,
        "warned": any(warning.template in WARNINGS for warning in result.warnings),
        "told of tubes": bool(result.could_still_be_wrong),
        **_class_value(value, setting.room, made),
        **_specific_heat(result, setting.room),
        **_ledger(result, made),
        **_runs(result, made),
    }


def readings(made: RoomRun) -> RunReadings:
    """As the class's table has them, with the bench's plan where it has one."""
    plan = made.plan
    return RunReadings(
        **vars(made.recorded),
        planned_shot_mass_kg=None if plan is None else plan.shot_mass_kg,
        planned_tube_length_m=None if plan is None else plan.tube_length_m,
        planned_inversions=None if plan is None else plan.inversions,
        thermometer_step_K=made.thermometer_step_K,
    )


def class_truth(made: list[RoomRun], room: Room) -> float:
    """k/Σ 1/(c + C/m) with the benches' true masses and the class's sink, over the benches that have a run
    without a slip: of the others nothing is known, and their masses are not believed."""
    masses = {run.recorded.bench: run.true_mass_kg for run in made if run.slip is None}
    each = [1.0 / (room.heat_capacity_J_per_kg_K + room.heat_sink_J_per_K / m) for m in masses.values()]
    return 1.0 / float(np.mean(each))


def _class_value(value: ClassValue | None, room: Room, made: list[RoomRun]) -> Figures:
    if value is None or value.interval_95 is None:
        return {}
    truth = class_truth(made, room)
    low, high = value.interval_95
    return {
        "value covers": low <= truth <= high,
        "value error": abs(value.apparent_heat_capacity_J_per_kg_K / truth - 1.0),
        "value half": (high - low) / 2 / truth,
    }


def _specific_heat(result: ClassResult, room: Room) -> Figures:
    apart, c = result.separated, room.heat_capacity_J_per_kg_K
    if apart.interval_95 is None or apart.heat_capacity_J_per_kg_K is None:
        return {}
    low, high = apart.interval_95
    return {
        "c covers": low <= c <= high,
        "c error": abs(apart.heat_capacity_J_per_kg_K / c - 1.0),
        "c half": (high - low) / 2 / c,
        "accepted inside": apart.accepted_inside_interval,
    }


def _ledger(result: ClassResult, made: list[RoomRun]) -> Figures:
    """Whether the shares, each ± 1.96 of its standard uncertainty, cover where the energy of these runs went.
    Not asked of classes with slips: the ledger is of the runs that are believed, which are others there."""
    ledger = result.ledger
    if ledger is None or any(run.slip for run in made):
        return {}
    shot, sink = (
        float(np.mean([getattr(run, name) for run in made])) for name in ("shot_share", "sink_share")
    )
    found = {"shot covers": abs(ledger.shot - shot) <= NORMAL_95 * ledger.u_shot}
    rest = 1.0 - shot
    if ledger.heat_sink is not None and ledger.u_heat_sink is not None:
        found["sink covers"] = abs(ledger.heat_sink - sink) <= NORMAL_95 * ledger.u_heat_sink
        rest -= sink
    found["rest covers"] = abs(ledger.unaccounted - rest) <= NORMAL_95 * ledger.u_unaccounted
    return found


def _runs(result: ClassResult, made: list[RoomRun]) -> Figures:
    """Flags and named slips. Clean is a run without a slip at a bench that is like the others; a named slip
    is false wherever none was made, at a bench apart as well."""
    pairs = list(zip(made, result.runs, strict=True))
    clean = [run for truth, run in pairs if truth.slip is None and not truth.bench_apart]
    rules = [flag.rule for run in clean for flag in run.flags]
    odd = {bench.bench: bench.unlike_the_others or 0.0 for bench in result.benches}
    apart = {truth.recorded.bench for truth in made if truth.bench_apart}
    return {
        "clean runs": len(clean),
        "clean flagged": sum(bool(run.flags) for run in clean),
        "clean rules": {rule: rules.count(rule) for rule in set(rules)},
        "runs without slip": sum(truth.slip is None for truth in made),
        "false slips": [
            run.suspected_slip.slip for truth, run in pairs if truth.slip is None and run.suspected_slip
        ],
        "benches apart": len(apart),
        "benches apart flagged": sum(odd.get(bench, 0.0) > ODD_FROM for bench in apart),
        "slips": [_slip(truth, run) for truth, run in pairs if truth.slip is not None],
    }


def _slip(truth: RoomRun, run: RunResult) -> Figures:
    return {
        "slip": truth.slip,
        "moves": _moves(truth),
        "flagged": bool(run.flags),
        "named": None if run.suspected_slip is None else run.suspected_slip.slip,
    }


def _moves(truth: RoomRun) -> bool:
    """Whether the slip moves c* enough to be noticed for certain."""
    before, after = _apparent(truth.as_read), _apparent(truth.recorded)
    return before is not None and (after is None or abs(after / before - 1.0) > MOVES_BY)


def _apparent(run: LabelledReadings) -> float | None:
    """c*/g in m/K; None where the run has none."""
    warming = run.end_temperature_C - run.start_temperature_C
    fall = run.tube_length_m - run.end_allowance_m
    return fall * run.inversions / warming if warming > 0 and fall > 0 else None
