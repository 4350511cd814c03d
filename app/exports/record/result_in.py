"""What a kept result must hold, so that tables and figures can be made of one that comes from a file.

Its keys are those of `plumbfall analyse --json`, which stay once released. What else it holds is kept unseen.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.analysis.views.json import BENCH_FIGURES


def is_result(value: Any) -> bool:
    """Whether a value has all that lists, tables and figures take from a result."""
    return _fits(value, _SHAPE)


def _fits(value: Any, shape: Any) -> bool:
    if callable(shape):
        return bool(shape(value))
    if isinstance(shape, list):
        return isinstance(value, list) and all(_fits(held, shape[0]) for held in value)
    return isinstance(value, dict) and all(
        name in value and _fits(value[name], shape[name]) for name in shape
    )


def _is_number(value: Any) -> bool:
    return value is None or (isinstance(value, int | float) and not isinstance(value, bool))


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_interval(value: Any) -> bool:
    return value is None or (
        isinstance(value, list) and len(value) == 2 and None not in value and all(map(_is_number, value))
    )


def _or_none(shape: Any) -> Callable[[Any], bool]:
    return lambda value: value is None or _fits(value, shape)


_SHAPE = {
    "runs": [
        {
            "bench": _is_text,
            "run": _is_text,
            "set_aside": lambda value: isinstance(value, bool),
            "apparent_heat_capacity_J_per_kg_K": _is_number,
            "standard_uncertainty_J_per_kg_K": _is_number,
            "flags": [{"rule": _is_text}],
            "suspected_slip": _or_none({"slip": _is_text}),
        }
    ],
    "benches": [
        {"bench": _is_text, **dict.fromkeys(BENCH_FIGURES, _is_number)},
    ],
    "class_value": _or_none(
        {
            "apparent_heat_capacity_J_per_kg_K": _is_number,
            "interval_95": _is_interval,
            "accepted_J_per_kg_K": _is_number,
            "percent_error": _is_number,
            "runs": _is_number,
            "benches": _is_number,
            "method": _is_text,
        }
    ),
    "spread": {
        "repeatability_sd": _is_number,
        "between_bench_sd": _is_number,
        "reproducibility_sd": _is_number,
    },
    "separated": {
        "heat_capacity_J_per_kg_K": _is_number,
        "interval_95": _is_interval,
        "heat_sink_J_per_K": _is_number,
        "heat_sink_interval_95": _is_interval,
    },
}
