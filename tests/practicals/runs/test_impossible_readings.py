"""Readings that no bench can have are refused, by field and with the reason."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from app.practicals.lesson.details import Typed
from app.practicals.runs.entry import ImpossibleReading, check_entry
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.models import Run
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key
from tests.practicals.seen import count


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("shot_mass", Typed("0", Decimal(0), "g")),
        ("shot_mass", Typed("-1", Decimal(-1), "kg")),
        ("tube_length", Typed("0", Decimal(0), "m")),
        ("end_allowance", Typed("100", Decimal(1), "cm")),
        ("inversions", Typed("0", Decimal(0), "")),
        ("inversions", Typed("2.5", Decimal("2.5"), "")),
        ("start_temperature", Typed("-300", Decimal(-300), "°C")),
        ("end_temperature", Typed("nan", Decimal("NaN"), "°C")),
        ("room_temperature", Typed("9e99", Decimal("9e99"), "°C")),
        ("shot_mass", Typed("3" * 61, Decimal(3), "kg")),
    ],
)
def test_the_impossible_is_refused_by_field(sqlite_database: Database, field: str, typed: Typed) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(3)
    change: dict[str, Any] = {field: typed}
    with pytest.raises(ImpossibleReading) as refusal:
        enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(**change), now=NOW)
    assert refusal.value.field == field
    assert count(sqlite_database, Run) == 0


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("inversions", Typed("0", Decimal(0), ""), "Inversions are counted"),
        ("inversions", Typed("99999", Decimal(99999), ""), "99999"),
        ("end_temperature", Typed("999", Decimal(999), "°C"), "No thermometer in the room"),
        ("shot_mass", Typed("999", Decimal(999), "kg"), "far outside anything"),
        ("shot_mass", Typed("0", Decimal(0), "kg"), "more than zero"),
    ],
)
def test_a_reading_outside_its_limits_is_told_why(field: str, typed: Typed, said: str) -> None:
    change: dict[str, Any] = {field: typed}
    with pytest.raises(ImpossibleReading, match=said):
        check_entry(an_entry(**change))
