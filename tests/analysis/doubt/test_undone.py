"""Every known slip undone: all the ways in which the readings could have been, and no others."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from app.analysis.doubt.undone import Undone, scales_of, undone, with_digits_exchanged
from app.analysis.readings import RunReadings

RUN = RunReadings("1", "1", 0.34, 1.0, 0.05, 50.0, 19.2, 21.4)


def ways(slip: str, allowance: float | None = 0.05, step: float = 0.1, **changes: Any) -> list[Undone]:
    run = replace(RUN, **changes)
    return [one for one in undone(run, allowance, step, True, scales_of(run)) if one.slip == slip]


def changed(one: Undone, **before: Any) -> dict[str, Any]:
    run = replace(RUN, **before)
    return {
        name: pytest.approx(value, rel=1e-12)
        for name, value in vars(one.corrected).items()
        if value != getattr(run, name)
    }


def test_grams_and_kilograms_are_taken_for_one_another() -> None:
    assert [changed(one) for one in ways("mass-unit")] == [{"shot_mass_kg": 340.0}, {"shot_mass_kg": 0.00034}]


def test_a_length_was_in_another_unit_with_its_allowance_or_without_or_the_allowance_alone() -> None:
    """mm, cm, m and in, 2.54 cm (International Yard and Pound Agreement, 1959)."""
    found = [changed(one) for one in ways("length-unit")]
    for factor in (0.1, 100.0, 2.54, 1 / 2.54, 0.01):
        assert {"tube_length_m": factor} in found
        assert {"tube_length_m": factor, "end_allowance_m": 0.05 * factor} in found
        assert {"end_allowance_m": 0.05 * factor} in found
    assert len(found) == 15
    assert len(ways("length-unit", end_allowance_m=0.0)) == 5
    assert {one.field for one in ways("length-unit")} == {"tube_length_m", "end_allowance_m"}


def test_turns_were_counted_once_or_twice() -> None:
    assert [changed(one) for one in ways("inversions-halved")] == [{"inversions": 100.0}]
    assert [changed(one) for one in ways("inversions-doubled")] == [{"inversions": 25.0}]
    assert ways("inversions-doubled", inversions=51.0) == [], "an odd count is no double"


def test_temperatures_changed_places_or_the_warming_stands_for_the_end() -> None:
    assert ways("temperatures-swapped") == ways("warming-as-end-temperature") == []
    cold = {"start_temperature_C": 21.4, "end_temperature_C": 19.2}
    (swapped,) = ways("temperatures-swapped", **cold)
    assert changed(swapped, **cold) == {"start_temperature_C": 19.2, "end_temperature_C": 21.4}
    (warmed,) = ways("warming-as-end-temperature", end_temperature_C=2.2)
    assert changed(warmed, end_temperature_C=2.2) == {"end_temperature_C": 21.4}
    assert len(ways("warming-as-end-temperature", end_temperature_C=0.05)) == 1
    assert ways("warming-as-end-temperature", end_temperature_C=0.0) == []
    same = {"start_temperature_C": 20.0, "end_temperature_C": 20.0}
    assert ways("temperatures-swapped", **same) == ways("warming-as-end-temperature", **same) == []


def test_both_temperatures_or_one_of_them_were_in_fahrenheit() -> None:
    """68 °F is 20 °C, 71.6 °F is 22 °C."""
    typed = {"start_temperature_C": 68.0, "end_temperature_C": 71.6}
    both, end, start = ways("fahrenheit", **typed)
    assert changed(both, **typed) == {"start_temperature_C": 20.0, "end_temperature_C": 22.0}
    assert changed(end, **typed) == {"end_temperature_C": 22.0}
    assert changed(start, **typed) == {"start_temperature_C": 20.0}
    assert both.prior < end.prior == start.prior


def test_an_allowance_is_forgotten_where_others_take_one() -> None:
    (taken,) = ways("end-allowance-forgotten", end_allowance_m=0.0)
    assert changed(taken, end_allowance_m=0.0) == {"end_allowance_m": 0.05}
    assert ways("end-allowance-forgotten", allowance=None, end_allowance_m=0.0) == []
    assert ways("end-allowance-forgotten") == []


@pytest.mark.parametrize(
    ("number", "decimals", "others"),
    [
        (19.2, 1, [91.2, 12.9, 109.2]),
        (50.0, 0, [5.0, 500.0]),  # 050 and 50
        (5.0, 0, [50.0]),  # 05
        (22.0, 1, [20.2, 202.0]),
        (21.45, 1, [201.45, 12.45, 24.15, 21.54]),  # more decimals than the thermometer has
        (-3.5, 1, [-5.3]),
        (11.0, 0, [101.0]),
        (0.05, 2, [0.5]),
    ],
)
def test_two_neighbouring_digits_that_differ_change_places(
    number: float, decimals: int, others: list[float]
) -> None:
    found = list(with_digits_exchanged(number, decimals))
    assert sorted(found) == sorted(others)


def test_digits_are_exchanged_as_they_were_written() -> None:
    """Grams, centimetres and turns whole, temperatures to the step of the thermometer, on its marks only."""
    by_field: dict[str, set[float]] = {}
    for one in ways("digits-swapped"):
        by_field.setdefault(one.field, set()).add(round(getattr(one.corrected, one.field), 6))
    assert by_field["shot_mass_kg"] == {0.43, 0.304, 3.04}
    assert by_field["tube_length_m"] == {0.1, 10.0}
    assert by_field["inversions"] == {5.0, 500.0}
    assert by_field["end_temperature_C"] == {12.4, 24.1, 201.4}
    assert {one.prior for one in ways("digits-swapped")} == {6.0}
    counts = {one.corrected.inversions for one in ways("digits-swapped", inversions=52.0)} - {52.0}
    assert counts == {25.0, 502.0}
    coarse = {
        round(one.corrected.end_temperature_C, 6)
        for one in ways("digits-swapped", step=0.5, end_temperature_C=21.5)
        if one.field == "end_temperature_C"
    }
    assert coarse == {12.5, 201.5}, "25.1 is on no mark of half degrees"


@pytest.mark.parametrize(
    ("step", "end", "others"),
    [
        (1.0, 21.0, {12.0, 201.0}),  # 21, and 021 for the second
        (0.0, 21.0, {12.0, 201.0, 20.1}),  # 21.0 where nobody knows the step
        (0.0, 21.5, {12.5, 201.5, 25.1}),
        (0.05, 21.5, {12.5, 201.5, 25.1, 21.05}),  # 21.50
    ],
)
def test_a_thermometer_is_written_with_the_decimals_of_its_step(
    step: float, end: float, others: set[float]
) -> None:
    run = replace(RUN, end_temperature_C=end)
    found = {
        one.corrected.end_temperature_C
        for one in undone(run, 0.05, step, False, scales_of(run))
        if (one.slip, one.field) == ("digits-swapped", "end_temperature_C")
    }
    assert found == others


def test_a_number_that_nobody_could_have_typed_has_no_digits_to_exchange() -> None:
    fields = {one.field for one in ways("digits-swapped", shot_mass_kg=1000.0, inversions=1e6)}
    assert "inversions" not in fields
    assert "shot_mass_kg" not in fields
    assert "inversions" in {one.field for one in ways("digits-swapped", inversions=999_998.0)}
    for nobodys in (0.0, 1e6):
        found = {one.field for one in ways("digits-swapped", start_temperature_C=nobodys)}
        assert "start_temperature_C" not in found
    near_zero = ways("digits-swapped", step=0.01, start_temperature_C=0.05)
    assert 0.5 in {one.corrected.start_temperature_C for one in near_zero}
