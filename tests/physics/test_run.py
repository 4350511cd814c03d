"""A quantity that is declared is read, stored, exported and analysed under the same name and unit."""

from __future__ import annotations

from dataclasses import fields
from decimal import Decimal

import pytest

from app.analysis.readings import RunReadings
from app.exports.run_table import COLUMNS, NEEDED
from app.physics.run import QUANTITIES, ByQuantity, LabelledReadings, Quantity, Readings
from app.records.models import RunVersion
from app.web.phone.typed import CARRIED, FIELDS
from tests.practicals.a_class import an_entry

EVERY_QUANTITY = pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)


@EVERY_QUANTITY
def test_one_of_the_run_tables_unit_is_one_of_the_unit_that_a_bench_types(quantity: Quantity) -> None:
    read = quantity.read("10")
    assert read.value.scaleb(quantity.shift) == Decimal(10)
    assert float(read.value) * quantity.per_si == pytest.approx(10, rel=1e-15)
    assert quantity.column.startswith(quantity.name)


@EVERY_QUANTITY
def test_the_records_keep_the_text_the_unit_and_the_exact_value(quantity: Quantity) -> None:
    columns = RunVersion.__table__.columns
    wanted = [
        f"{quantity.name}_text",
        quantity.si_name,
        *([f"{quantity.name}_unit"] if quantity.units else []),
    ]
    for name in wanted:
        assert columns[name].nullable is not quantity.needed, name


def test_the_phone_asks_for_every_quantity_that_is_needed() -> None:
    assert {name for name, one in QUANTITIES.items() if one.needed} <= set(FIELDS)
    assert [name for name in CARRIED if QUANTITIES[name].needed] == [
        "shot_mass",
        "tube_length",
        "end_allowance",
    ]
    assert set(CARRIED[2:]) == {"caps", "settled_depth", "end_allowance", "room_temperature"}


def test_temperatures_alone_may_be_below_zero() -> None:
    assert {name for name, one in QUANTITIES.items() if one.may_be_below_zero} == {
        "start_temperature",
        "end_temperature",
        "room_temperature",
    }


def test_the_columns_of_the_run_table_are_public_and_stay() -> None:
    public = (
        *("bench", "run", "shot_mass_g", "tube_length_cm", "end_allowance_cm", "inversions"),
        *("start_temperature_C", "end_temperature_C", "room_temperature_C", "set_aside"),
        *("planned_shot_mass_g", "planned_tube_length_cm", "planned_inversions"),
    )
    assert tuple(name for name in COLUMNS if name in public) == public
    needed = ("bench", "shot_mass_g", "tube_length_cm", "inversions", "start_temperature_C")
    assert (*needed, "end_temperature_C") == NEEDED


def test_labels_stand_before_the_readings_and_what_the_plan_says_after_them() -> None:
    readings = [one.name for one in fields(Readings)]
    assert [one.name for one in fields(LabelledReadings)] == ["bench", "run", *readings]
    assert [one.name for one in fields(RunReadings)][: 3 + len(readings)] == [
        *("bench", "run"),
        *readings,
        "set_aside",
    ]


def test_fall_and_warming_follow_from_the_readings() -> None:
    run = Readings(0.3, 1.0, 0.055, 50, 20.5, 24.0)
    assert (run.fall_m, run.warming_K) == (0.945, 3.5)
    assert run.room_temperature_C is None


def test_what_was_typed_is_found_by_the_name_of_its_quantity() -> None:
    run = ByQuantity({"shot_mass": "340 g"})
    assert (run.shot_mass, run.room_temperature) == ("340 g", None)
    with pytest.raises(AttributeError, match="humidty"):
        _ = run.humidty


def test_an_entry_gives_its_numbers_in_si_and_nothing_where_nothing_was_typed() -> None:
    assert an_entry().readings == Readings(0.34, 1.0, 0.05, 50.0, 19.2, 21.4, None)
