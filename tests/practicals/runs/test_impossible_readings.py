"""Readings that no bench can have are refused, by field and with the reason."""

from __future__ import annotations

import hashlib
from decimal import Decimal
from typing import Any

import pytest

from app.practicals.lesson.details import Typed
from app.practicals.runs.entry import ImpossibleReading, body_digest, check_entry
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from app.records.models import Run, RunVersion
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


def test_where_nothing_falls_the_number_that_was_measured_last_is_named() -> None:
    whole, caps = Typed("100", Decimal(1), "cm"), Typed("2", Decimal("0.02"), "cm")
    depth = Typed("98", Decimal("0.98"), "cm")
    both: dict[str, Any] = {"caps": caps, "settled_depth": depth}
    for parts, named in ((both, "settled_depth"), (dict[str, Any](), "end_allowance")):
        with pytest.raises(ImpossibleReading) as refusal:
            check_entry(an_entry(end_allowance=whole, **parts))
        assert refusal.value.field == named


def test_caps_and_depth_that_were_both_measured_make_the_end_allowance() -> None:
    caps = Typed("2", Decimal("0.02"), "cm")
    check_entry(an_entry(caps=caps))
    check_entry(an_entry(settled_depth=caps))
    check_entry(an_entry(caps=caps, settled_depth=Typed("3", Decimal("0.03"), "cm")))
    with pytest.raises(ImpossibleReading) as refusal:
        check_entry(an_entry(caps=caps, settled_depth=Typed("3.5", Decimal("0.035"), "cm")))
    assert refusal.value.field == "end_allowance"


def test_a_correction_to_the_impossible_is_refused_too(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(3)
    run_id = enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW).run_id
    asked: dict[str, Any] = {"run_id": run_id, "key": new_key(), "reason": "", "now": NOW}
    with pytest.raises(ImpossibleReading) as refusal:
        correct_run(sqlite_database, actor=bench, entry=an_entry(mass_g="0"), **asked)
    assert refusal.value.field == "shot_mass"
    assert count(sqlite_database, RunVersion) == 1


def test_a_run_without_caps_and_depth_has_the_digest_of_before_they_were_asked_for() -> None:
    """The body as it was put down then; a phone may still send a run that it has kept since."""
    before = (
        '{"end_allowance": ["5", "cm", "0.05"], "end_temperature": ["21.4", "°C", "21.4"],'
        ' "inversions": ["50", "", "50"], "own_heat_capacity": null, "room_temperature": null,'
        ' "shot_mass": ["340 g", "g", "0.34"], "start_temperature": ["19.2", "°C", "19.2"],'
        ' "tube_length": ["100", "cm", "1.00"]}'
    )
    assert body_digest(an_entry()) == hashlib.sha256(before.encode()).hexdigest()


def test_the_longest_text_of_a_number_is_taken() -> None:
    check_entry(an_entry(shot_mass=Typed(f"{'0.3':0<60}", Decimal("0.3"), "kg")))


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
