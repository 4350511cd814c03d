"""A class's result as plain data under the public keys of `plumbfall analyse --json`.

Keys stay once released; further keys may be added. Every number is finite or None.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from app.analysis.of_the_fit import WithWiderPriors
from app.analysis.results import (
    ClassResult,
    ClassValue,
    Interval,
    LineFit,
    RunResult,
    Separated,
    SuspectedSlip,
    finite,
)

FORMAT = "plumbfall-analysis/1"


def as_plain_data(result: ClassResult) -> dict[str, Any]:
    """The result as dictionaries, lists, strings, numbers, booleans and None."""
    spread = result.spread
    return {
        "format": FORMAT,
        "room_temperature_C": finite(result.settings.room_temperature_C),
        "runs": [_run(run) for run in result.runs],
        "class_value": _value(result.class_value),
        "class_value_absent_because": _text(result.class_value_absent_because),
        "class_value_without_flagged": _value(result.class_value_without_flagged),
        "estimates": [
            {
                "method": estimate.method,
                "apparent_heat_capacity_J_per_kg_K": finite(estimate.apparent_heat_capacity_J_per_kg_K),
                "interval_95": _interval(estimate.interval_95),
                "between_bench_sd_J_per_kg_K": finite(estimate.between_bench_sd_J_per_kg_K),
            }
            for estimate in result.estimates
        ],
        "spread": {
            "repeatability_sd": finite(spread.repeatability_sd),
            "between_bench_sd": finite(spread.between_bench_sd),
            "reproducibility_sd": finite(spread.reproducibility_sd),
            "mandel_h_critical": finite(spread.mandel_h_critical),
            "mandel_k_critical": finite(spread.mandel_k_critical),
            "cochran_C": finite(spread.cochran_C),
            "cochran_C_critical": finite(spread.cochran_C_critical),
            "reason": _text(spread.reason),
        },
        "benches": [
            {
                "bench": bench.bench,
                "runs": bench.runs,
                "mean_mass_kg": finite(bench.mean_mass_kg),
                "apparent_heat_capacity_J_per_kg_K": finite(bench.apparent_heat_capacity_J_per_kg_K),
                "standard_uncertainty_J_per_kg_K": finite(bench.standard_uncertainty_J_per_kg_K),
                "repeatability_sd_J_per_kg_K": finite(bench.repeatability_sd_J_per_kg_K),
                "mandel_h": finite(bench.mandel_h),
                "mandel_k": finite(bench.mandel_k),
                "unlike_the_others": finite(bench.unlike_the_others),
            }
            for bench in result.benches
        ],
        "mass_levels": [
            {
                "mass_kg": finite(level.mass_kg),
                "benches": list(level.benches),
                "apparent_heat_capacity_J_per_kg_K": finite(level.apparent_heat_capacity_J_per_kg_K),
                "interval_95": _interval(level.interval_95),
            }
            for level in result.levels
        ],
        "separated": _separated(result.separated),
        "separated_without_flagged": None
        if result.separated_without_flagged is None
        else _separated(result.separated_without_flagged),
        "heat_ledger": _ledger(result),
        "class_budget": [
            {
                "source": line.source,
                "standard_uncertainty_J_per_kg_K": finite(line.standard_uncertainty_J_per_kg_K),
                "share_of_variance": finite(line.share_of_variance),
                "advice": str(line.advice),
            }
            for line in result.class_budget
        ],
        "with_priors_twice_as_wide": None
        if result.with_wider_priors is None
        else _wider_priors(result.with_wider_priors, result.separated.identifiable),
        "line": _line(result.line),
        "warnings": [str(warning) for warning in result.warnings],
        "could_still_be_wrong": [str(one) for one in result.could_still_be_wrong],
    }


def _wider_priors(wider: WithWiderPriors, told_apart: bool) -> dict[str, Any]:
    return {
        "specific_heat_J_per_kg_K": finite(wider.specific_heat_J_per_kg_K) if told_apart else None,
        "specific_heat_interval_95": _interval(wider.specific_heat_interval_95) if told_apart else None,
        "specific_heat_moves_percent": finite(wider.specific_heat_moves_percent) if told_apart else None,
        "class_value_J_per_kg_K": finite(wider.class_value_J_per_kg_K),
        "class_value_interval_95": _interval(wider.class_value_interval_95),
        "class_value_moves_percent": finite(wider.class_value_moves_percent),
    }


def _run(run: RunResult) -> dict[str, Any]:
    return {
        "bench": run.readings.bench,
        "run": run.readings.run,
        "set_aside": run.readings.set_aside,
        "fall_m": finite(run.fall_m),
        "caps_m": finite(run.readings.caps_m),
        "settled_depth_m": finite(run.readings.settled_depth_m),
        "room_temperature_C": finite(run.readings.room_temperature_C),
        "ice_point_C": finite(run.readings.ice_point_C),
        "specific_energy_J_per_kg": finite(run.specific_energy_J_per_kg),
        "warming_K": finite(run.warming_K),
        "apparent_heat_capacity_J_per_kg_K": finite(run.apparent_heat_capacity_J_per_kg_K),
        "standard_uncertainty_J_per_kg_K": finite(run.standard_uncertainty_J_per_kg_K),
        "interval_95": _interval(run.interval_95),
        "interval_absent_because": _text(run.interval_absent_because),
        "absent_because": _text(run.absent_because),
        "budget_J_per_kg_K": None
        if run.budget is None
        else {source: finite(share) for source, share in vars(run.budget).items()},
        "flags": [
            {
                "rule": flag.rule,
                "reason": str(flag.reason),
                "figure": finite(flag.figure),
                "threshold": finite(flag.threshold),
            }
            for flag in run.flags
        ],
        "suspected_slip": _slip(run.suspected_slip),
        "unlike_the_others": finite(run.unlike_the_others),
    }


def _slip(slip: SuspectedSlip | None) -> dict[str, Any] | None:
    if slip is None:
        return None
    return {
        "slip": slip.slip,
        "field": slip.field,
        "as_entered": finite(slip.as_entered),
        "corrected": finite(slip.corrected),
        "apparent_heat_capacity_J_per_kg_K": finite(slip.apparent_heat_capacity_J_per_kg_K),
        "sentence": str(slip.sentence),
    }


def _value(value: ClassValue | None) -> dict[str, Any] | None:
    if value is None:
        return None
    return {
        "apparent_heat_capacity_J_per_kg_K": finite(value.apparent_heat_capacity_J_per_kg_K),
        "interval_95": _interval(value.interval_95),
        "interval_absent_because": _text(value.interval_absent_because),
        "method": value.method,
        "runs": value.runs,
        "benches": value.benches,
        "percent_error": finite(value.percent_error),
        "percent_error_interval": _interval(value.percent_error_interval),
        "accepted_J_per_kg_K": finite(value.accepted_J_per_kg_K),
        "accepted_inside_interval": value.accepted_inside_interval,
    }


def _separated(apart: Separated) -> dict[str, Any]:
    return {
        "identifiable": apart.identifiable,
        "reason": str(apart.reason),
        "heat_capacity_J_per_kg_K": finite(apart.heat_capacity_J_per_kg_K),
        "interval_95": _interval(apart.interval_95),
        "heat_sink_J_per_K": finite(apart.heat_sink_J_per_K),
        "heat_sink_interval_95": _interval(apart.heat_sink_interval_95),
        "percent_error": finite(apart.percent_error),
        "accepted_inside_interval": apart.accepted_inside_interval,
        "heat_leak_per_inversion": finite(apart.heat_leak_per_inversion),
        "model": apart.model,
        "model_choice": None,  # a released key: the fit has one model, and there is no choice to tell of
        "heat_leak_J_per_K_per_inversion": finite(apart.heat_leak_J_per_K_per_inversion),
        "heat_leak_interval_95": _interval(apart.heat_leak_interval_95),
        "heat_leak_absent_because": _text(apart.heat_leak_absent_because),
    }


def _line(line: LineFit | None) -> dict[str, Any] | None:
    if line is None:
        return None
    return {
        "slope_K_kg_per_J": finite(line.slope_K_kg_per_J),
        "u_slope_K_kg_per_J": finite(line.u_slope_K_kg_per_J),
        "apparent_heat_capacity_J_per_kg_K": finite(line.apparent_heat_capacity_J_per_kg_K),
        "offset_K": finite(line.offset_K),
        "u_offset_K": finite(line.u_offset_K),
        "slope_with_offset_K_kg_per_J": finite(line.slope_with_offset_K_kg_per_J),
        "robust_slope_K_kg_per_J": finite(line.robust_slope_K_kg_per_J),
        "points": [
            {
                "bench": point.bench,
                "run": point.run,
                "residual_K": finite(point.residual_K),
                "leverage": finite(point.leverage),
                "cooks_distance": finite(point.cooks_distance),
                "studentized_residual": finite(point.studentized_residual),
            }
            for point in line.points
        ],
    }


def _ledger(result: ClassResult) -> dict[str, Any] | None:
    ledger = result.ledger
    if ledger is None:
        return None
    return {
        "shot": finite(ledger.shot),
        "u_shot": finite(ledger.u_shot),
        "heat_sink": finite(ledger.heat_sink),
        "u_heat_sink": finite(ledger.u_heat_sink),
        "unaccounted": finite(ledger.unaccounted),
        "u_unaccounted": finite(ledger.u_unaccounted),
        "heat_leak": finite(ledger.heat_leak),
        "u_heat_leak": finite(ledger.u_heat_leak),
        "note": str(ledger.note),
    }


def _interval(interval: Interval | None) -> Sequence[float] | None:
    if interval is None or finite(interval[0]) is None or finite(interval[1]) is None:
        return None
    return [interval[0], interval[1]]


def _text(message: object | None) -> str | None:
    return None if message is None else str(message)
