"""A class's result as plain data under the public keys of `plumbfall analyse --json`.

Keys stay once released; further keys may be added. Every number is finite or None.
"""

from __future__ import annotations

from typing import Any

from app.analysis.results import ClassResult, ClassValue, LineFit, RunResult, Separated, finite
from app.words import Message

FORMAT = "plumbfall-analysis/1"
BENCH_FIGURES = (
    "mean_mass_kg",
    "apparent_heat_capacity_J_per_kg_K",
    "standard_uncertainty_J_per_kg_K",
    "repeatability_sd_J_per_kg_K",
    "mandel_h",
    "mandel_k",
    "unlike_the_others",
)
"""The figures of a bench that every result has, the kept ones too: a later one is not in those of before."""


def as_plain_data(result: ClassResult) -> dict[str, Any]:
    """The result as dictionaries, lists, strings, numbers, booleans and None."""
    return {
        "format": FORMAT,
        **_of(result.settings, "room_temperature_C"),
        "runs": [_run(run) for run in result.runs],
        "class_value": _value(result.class_value),
        **_of(result, "class_value_absent_because"),
        "class_value_without_flagged": _value(result.class_value_without_flagged),
        "estimates": [
            _of(
                estimate,
                "method",
                "apparent_heat_capacity_J_per_kg_K",
                "interval_95",
                "between_bench_sd_J_per_kg_K",
            )
            for estimate in result.estimates
        ],
        "spread": _of(
            result.spread,
            "repeatability_sd",
            "between_bench_sd",
            "reproducibility_sd",
            "mandel_h_critical",
            "mandel_k_critical",
            "cochran_C",
            "cochran_C_critical",
            "reason",
        ),
        "benches": [_of(bench, "bench", "runs", *BENCH_FIGURES) for bench in result.benches],
        "mass_levels": [
            _of(level, "mass_kg", "benches", "apparent_heat_capacity_J_per_kg_K", "interval_95")
            for level in result.levels
        ],
        "separated": _separated(result.separated),
        "separated_without_flagged": None
        if result.separated_without_flagged is None
        else _separated(result.separated_without_flagged),
        "heat_ledger": None
        if result.ledger is None
        else _of(
            result.ledger,
            "shot",
            "u_shot",
            "heat_sink",
            "u_heat_sink",
            "unaccounted",
            "u_unaccounted",
            "heat_leak",
            "u_heat_leak",
            "note",
        ),
        "class_budget": [
            _of(line, "source", "standard_uncertainty_J_per_kg_K", "share_of_variance", "advice")
            for line in result.class_budget
        ],
        "with_priors_twice_as_wide": _wider_priors(result),
        "line": _line(result.line),
        **_of(result, "warnings", "could_still_be_wrong"),
    }


def _wider_priors(result: ClassResult) -> dict[str, Any] | None:
    """The figures of the specific heat are None where the class does not tell it from the sink."""
    wider = result.with_wider_priors
    if wider is None:
        return None
    of_specific_heat = (
        "specific_heat_J_per_kg_K",
        "specific_heat_interval_95",
        "specific_heat_moves_percent",
    )
    return {
        **(
            _of(wider, *of_specific_heat)
            if result.separated.identifiable
            else dict.fromkeys(of_specific_heat)
        ),
        **_of(wider, "class_value_J_per_kg_K", "class_value_interval_95", "class_value_moves_percent"),
    }


def _run(run: RunResult) -> dict[str, Any]:
    slip = run.suspected_slip
    return {
        **_of(run.readings, "bench", "run", "set_aside"),
        **_of(run, "fall_m"),
        **_of(run.readings, "caps_m", "settled_depth_m", "room_temperature_C", "ice_point_C"),
        **_of(
            run,
            "specific_energy_J_per_kg",
            "warming_K",
            "apparent_heat_capacity_J_per_kg_K",
            "standard_uncertainty_J_per_kg_K",
            "interval_95",
            "interval_absent_because",
            "absent_because",
        ),
        "budget_J_per_kg_K": None if run.budget is None else _of(run.budget, *vars(run.budget)),
        "flags": [_of(flag, "rule", "reason", "figure", "threshold") for flag in run.flags],
        "suspected_slip": None
        if slip is None
        else _of(
            slip,
            "slip",
            "field",
            "as_entered",
            "corrected",
            "apparent_heat_capacity_J_per_kg_K",
            "sentence",
        ),
        **_of(run, "unlike_the_others"),
    }


def _value(value: ClassValue | None) -> dict[str, Any] | None:
    if value is None:
        return None
    return _of(
        value,
        "apparent_heat_capacity_J_per_kg_K",
        "interval_95",
        "interval_absent_because",
        "method",
        "runs",
        "benches",
        "percent_error",
        "percent_error_interval",
        "accepted_J_per_kg_K",
        "accepted_inside_interval",
    )


def _separated(apart: Separated) -> dict[str, Any]:
    return {
        **_of(
            apart,
            "identifiable",
            "reason",
            "heat_capacity_J_per_kg_K",
            "interval_95",
            "heat_sink_J_per_K",
            "heat_sink_interval_95",
            "percent_error",
            "accepted_inside_interval",
            "heat_leak_per_inversion",
            "model",
        ),
        "model_choice": None,  # a released key: the fit has one model, and there is no choice to tell of
        **_of(
            apart,
            "heat_leak_J_per_K_per_inversion",
            "heat_leak_interval_95",
            "heat_leak_absent_because",
        ),
    }


def _line(line: LineFit | None) -> dict[str, Any] | None:
    if line is None:
        return None
    return {
        **_of(
            line,
            "slope_K_kg_per_J",
            "u_slope_K_kg_per_J",
            "apparent_heat_capacity_J_per_kg_K",
            "offset_K",
            "u_offset_K",
            "slope_with_offset_K_kg_per_J",
            "robust_slope_K_kg_per_J",
        ),
        "points": [
            _of(point, "bench", "run", "residual_K", "leverage", "cooks_distance", "studentized_residual")
            for point in line.points
        ],
    }


def _of(record: object, *keys: str) -> dict[str, Any]:
    """These attributes of a record, under their own names."""
    return {key: _plain(getattr(record, key)) for key in keys}


def _plain(value: object) -> Any:
    """A sentence as text; a number, or an interval, only where it is finite."""
    if isinstance(value, Message):
        return str(value)
    if isinstance(value, float):
        return finite(value)
    if isinstance(value, tuple):
        parts = [_plain(one) for one in value]
        return None if None in parts else parts
    return value
