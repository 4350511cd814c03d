"""No finite reading may end in NaN, an exception or a number that JSON cannot hold."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from app.analysis.analyse import analyse_class
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.views.json import as_plain_data
from app.exports.summary_text import summary_text
from tests.analysis.classes import LEAD, MASSES_KG, perfect_runs

anything = st.floats(allow_nan=False, allow_infinity=False)
plausible = st.floats(-5.0, 100.0)
number = st.one_of(plausible, anything, st.sampled_from([0.0, 0.5, 1.0, 20.0, 50.0, 1e308, -1e308, 5e-324]))
any_run = st.builds(
    RunReadings,
    bench=st.sampled_from(["1", "2", "3", "4", "5", "é", ""]),
    run=st.sampled_from(["1", "2"]),
    shot_mass_kg=number,
    tube_length_m=number,
    end_allowance_m=st.one_of(st.just(0.0), number),
    inversions=number,
    start_temperature_C=number,
    end_temperature_C=number,
    room_temperature_C=st.one_of(st.none(), number),
    set_aside=st.booleans(),
)
near_run = st.builds(
    RunReadings,
    bench=st.sampled_from([str(i) for i in range(12)]),
    run=st.sampled_from(["1", "2", "3"]),
    shot_mass_kg=st.floats(0.1, 1.0),
    tube_length_m=st.sampled_from([1.0, 1.0, 0.99, 1.2, 100.0]),
    end_allowance_m=st.sampled_from([0.08, 0.0, 8.0]),
    inversions=st.sampled_from([50.0, 50.0, 25.0, 5.0]),
    start_temperature_C=st.integers(36, 44).map(lambda half: half / 2),
    end_temperature_C=st.integers(38, 54).map(lambda half: half / 2),
    room_temperature_C=st.sampled_from([None, 21.0, 18.0]),
    set_aside=st.sampled_from([False, False, True]),
)
settings_ = st.builds(
    ClassSettings,
    accepted_J_per_kg_K=st.floats(1.0, 5000.0),
    gravity_m_per_s2=st.floats(0.1, 30.0),
    u_gravity_m_per_s2=st.floats(0.0, 0.1),
    thermometer_step_K=st.one_of(st.just(0.0), st.floats(1e-6, 5.0)),
    reading_sd_K=st.floats(0.0, 2.0),
    length_sd_m=st.floats(0.0, 0.1),
    room_temperature_C=st.one_of(st.none(), st.floats(-10.0, 40.0)),
)


@settings(max_examples=20, deadline=None)
@given(st.lists(any_run, max_size=12), settings_)
def test_any_finite_readings_give_a_finite_result(runs: list[RunReadings], class_: ClassSettings) -> None:
    _must_be_sound(runs, class_)


@settings(max_examples=20, deadline=None)
@given(st.lists(near_run, max_size=40), settings_)
def test_odd_classes_give_a_finite_result(runs: list[RunReadings], class_: ClassSettings) -> None:
    _must_be_sound(runs, class_)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 11), st.sampled_from([f.name for f in fields(RunReadings)][2:9]), anything)
def test_one_wild_reading_in_a_good_class_gives_a_finite_result(at: int, name: str, value: float) -> None:
    runs = perfect_runs(MASSES_KG, 3)
    changed: dict[str, Any] = vars(runs[at]) | {name: value}
    runs[at] = RunReadings(**changed)
    _must_be_sound(runs, LEAD)


def _must_be_sound(runs: list[RunReadings], class_: ClassSettings) -> None:
    result = analyse_class(runs, class_)
    json.dumps(as_plain_data(result), allow_nan=False)
    assert summary_text(result)
    _no_nan(result, "result")


def _no_nan(value: object, where: str) -> None:
    """Walks a result; every float in it must be finite."""
    if isinstance(value, float):
        assert math.isfinite(value), where
    elif is_dataclass(value):
        for f in fields(value):
            _no_nan(getattr(value, f.name), f"{where}.{f.name}")
    elif isinstance(value, (str, bytes)):
        return
    elif isinstance(value, Sequence):
        for i, item in enumerate(value):
            _no_nan(item, f"{where}[{i}]")
