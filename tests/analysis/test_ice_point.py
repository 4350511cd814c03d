"""A thermometer that is off by the same everywhere: its reading in melting ice takes that out of the leak."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.columns import columns
from app.analysis.fit.quantities import expected_of
from app.analysis.fit.stacked import above_room
from app.analysis.readings import RunReadings
from app.analysis.results import ClassResult
from tests.analysis.classes import LEAD
from tests.analysis.fit.rooms import a_room, fitted
from tests.simulated_room import Room

HIGH_K = 1.5
SETTINGS = replace(LEAD, accepted_J_per_kg_K=129.0, reading_sd_K=0.02, room_temperature_C=21.0)
ROOM = Room(
    benches=6,
    leak_J_per_K_per_inversion=0.3,
    start_above_room_K=2.0,
    room_temperature_C=21.0,
)
"""A leak three times a usual one, so that 1.5 K at one bench of six shows."""


def _class(high_K: Mapping[str, float], ice_points: bool) -> tuple[RunReadings, ...]:
    """One simulated class whose room one person read, these benches' thermometers so much too high."""
    runs = [replace(run, room_temperature_C=None) for run in a_room(3, ROOM)]
    return tuple(
        replace(
            run,
            start_temperature_C=run.start_temperature_C + high_K.get(run.bench, 0.0),
            end_temperature_C=run.end_temperature_C + high_K.get(run.bench, 0.0),
            ice_point_C=high_K.get(run.bench, 0.0) if ice_points else None,
        )
        for run in runs
    )


@cache
def _result(high: bool, ice_points: bool) -> ClassResult:
    return analyse_class(_class({"1": HIGH_K} if high else {}, ice_points), SETTINGS)


def _figures(result: ClassResult) -> tuple[float, float, float]:
    assert result.class_value is not None
    leak, heat = result.separated.heat_leak_J_per_K_per_inversion, result.separated.heat_capacity_J_per_kg_K
    assert leak is not None
    assert heat is not None
    return leak, heat, result.class_value.apparent_heat_capacity_J_per_kg_K


def test_with_its_ice_point_a_high_thermometer_gives_the_result_of_a_true_one() -> None:
    assert _figures(_result(True, True)) == pytest.approx(_figures(_result(False, False)), rel=1e-6)


def test_without_it_the_leak_and_the_class_value_differ() -> None:
    leak, _, class_value = _figures(_result(True, False))
    true_leak, _, true_class_value = _figures(_result(False, False))
    assert abs(leak / true_leak - 1.0) > 0.05
    assert abs(class_value / true_class_value - 1.0) > 0.002


def test_the_warming_and_what_follows_from_it_alone_stay_as_read() -> None:
    with_it, without = _result(True, True), _result(True, False)
    for one, other in zip(with_it.runs, without.runs, strict=True):
        assert one.warming_K == other.warming_K
        assert one.apparent_heat_capacity_J_per_kg_K == other.apparent_heat_capacity_J_per_kg_K


def test_a_reading_of_zero_in_ice_changes_nothing() -> None:
    assert _figures(_result(False, True)) == _figures(_result(False, False))


def test_a_room_that_the_bench_read_itself_is_as_far_off_as_its_shot() -> None:
    """Shot at 19 and room at 21 °C, shown 1.5 K too high: 2 K below it, whoever corrects what."""
    run = RunReadings("1", "1", 0.5, 1.0, 0.05, 50.0, 20.5, 22.5, ice_point_C=1.5)
    own = replace(run, room_temperature_C=22.5)
    other = RunReadings("2", "1", 0.5, 1.0, 0.05, 50.0, 19.0, 21.0)
    class_ = replace(LEAD, room_temperature_C=21.0)
    for runs in ([run, other], [own, other]):
        assert above_room(columns(runs, class_), class_) == pytest.approx([-2.0, -2.0])
    unknown = replace(LEAD, room_temperature_C=None)
    assert above_room(columns([own, other], unknown), unknown) == pytest.approx([-2.0, -2.0]), "the one room"


def test_a_run_is_expected_to_warm_as_much_with_a_high_thermometer_as_with_a_true_one() -> None:
    high, true = _class({"1": HIGH_K}, True), _class({}, False)
    of_high, of_true = fitted(list(high), SETTINGS, draws=512), fitted(list(true), SETTINGS, draws=512)
    for one, other in zip(high, true, strict=True):
        assert expected_of(of_high, one) == pytest.approx(expected_of(of_true, other), rel=1e-6)
