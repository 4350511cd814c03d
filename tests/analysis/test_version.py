"""The number of the analysis goes with what it gives for one class, which is held here beside it.

Where this fails and the change was meant: raise `ANALYSIS_VERSION`, and put the new figures under its number.
"""

from __future__ import annotations

from typing import Any

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ANALYSIS_VERSION
from app.analysis.views.json import as_plain_data

READINGS = (
    (1, 0.25, 19.8, 21.6),
    (1, 0.25, 20.1, 21.8),
    (2, 0.30, 19.9, 21.8),
    (2, 0.30, 20.0, 22.0),
    (3, 0.60, 20.2, 22.7),
    (3, 0.60, 20.0, 22.6),
    (4, 0.70, 19.9, 22.5),
    (4, 0.70, 20.3, 22.9),
    (5, 0.85, 19.7, 22.4),
    (5, 0.85, 20.0, 22.8),
    (6, 0.90, 20.1, 22.8),
    (6, 0.90, 22.9, 20.2),
)
"""Bench, kilograms, start and end in °C: invented, the last with its two temperatures swapped."""

KNOWN: dict[int, dict[str, float]] = {
    1: {
        "class value": 187.05869023,
        "class value, width": 15.149652669,
        "specific heat": 127.23161794,
        "specific heat, width": 24.771577684,
        "heat sink": 30.802133597,
        "heat sink, width": 13.352913211,
        "shot's share": 0.67279897288,
        "flags": 2,
        "slips": 1,
    }
}
"""What each version gives, by the analysis itself: this holds that it stays, not that it is right."""


def figures() -> dict[str, float]:
    """The figures that lists and pools are made of, and what the flags and the ledger stand on."""
    runs = [
        RunReadings(
            bench=str(bench),
            run=str(number),
            shot_mass_kg=mass,
            tube_length_m=1.0,
            end_allowance_m=0.08,
            inversions=50,
            start_temperature_C=start,
            end_temperature_C=end,
        )
        for number, (bench, mass, start, end) in enumerate(READINGS, 1)
    ]
    result = analyse_class(runs, ClassSettings(accepted_J_per_kg_K=127.37, room_temperature_C=20.5))
    told: Any = as_plain_data(result)
    value, apart = told["class_value"], told["separated"]
    return {
        "class value": value["apparent_heat_capacity_J_per_kg_K"],
        "class value, width": _width(value["interval_95"]),
        "specific heat": apart["heat_capacity_J_per_kg_K"],
        "specific heat, width": _width(apart["interval_95"]),
        "heat sink": apart["heat_sink_J_per_K"],
        "heat sink, width": _width(apart["heat_sink_interval_95"]),
        "shot's share": told["heat_ledger"]["shot"],
        "flags": sum(len(run["flags"]) for run in told["runs"]),
        "slips": sum(run["suspected_slip"] is not None for run in told["runs"]),
    }


def _width(interval: list[float]) -> float:
    return interval[1] - interval[0]


def test_another_result_asks_for_another_number() -> None:
    assert figures() == pytest.approx(KNOWN[ANALYSIS_VERSION], rel=1e-6)
    assert max(KNOWN) == ANALYSIS_VERSION
