"""What a posted form can hold at most, and which step of the phone leads where."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from werkzeug.datastructures import MultiDict

from app.web.forms import new_key
from app.web.phone.draft import fresh
from app.web.phone.typed import (
    STEPS,
    TypedRun,
    from_form,
    has_own_key,
    moment,
    step_after,
    step_before,
)


def test_each_step_leads_to_the_next_and_back_and_the_ends_stay() -> None:
    assert [step_after(step) for step in STEPS] == [*STEPS[1:], "check"]
    assert [step_before(step) for step in STEPS] == ["weigh", *STEPS[:-1]]


@pytest.mark.parametrize(
    ("key", "own"),
    [("0123456789abcdef" * 2, True), ("0123456789ABCDEF" * 2, False), ("a" * 31, False), ("a" * 33, False)],
)
def test_a_key_is_128_bits_in_hex_and_any_other_is_replaced(key: str, own: bool) -> None:
    form = MultiDict({"key": key})
    assert has_own_key(form) is own
    assert (from_form(form).key == key) is own
    assert has_own_key(MultiDict({"key": new_key()}))


def test_no_more_of_a_form_is_kept_than_a_phone_can_have_sent() -> None:
    form = MultiDict(
        [
            ("shot_mass_unit", "x" * 9),
            *(("kept", f"{place:02}" + "x" * 400) for place in range(25)),
        ]
    )
    run = from_form(form)
    assert run.units["shot_mass"] == "x" * 8
    assert len(run.kept) == 20
    assert {len(mark) for mark in run.kept} == {300}
    assert run.unit("shot_mass") == "g", "a unit that is not offered is the usual one"


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("2031-03-06T10:42:00Z", datetime(2031, 3, 6, 10, 42, tzinfo=UTC)),
        ("2031-03-06T10:42:00+02:00", datetime(2031, 3, 6, 8, 42, tzinfo=UTC)),
        ("2031-03-06T10:42:00", datetime(2031, 3, 6, 10, 42, tzinfo=UTC)),
        ("2020-01-01T00:00:00Z", datetime(2020, 1, 1, tzinfo=UTC)),
        ("2019-12-31T23:59:59Z", None),
        ("2100-12-31T23:59:59Z", datetime(2100, 12, 31, 23, 59, 59, tzinfo=UTC)),
        ("2101-01-01T00:00:00Z", None),
        ("yesterday", None),
        ("", None),
    ],
)
def test_an_instant_by_the_phone_s_clock_is_of_this_century(text: str, read: datetime | None) -> None:
    assert moment(text) == read


def test_a_reading_that_was_called_right_is_asked_about_again_once_it_changes() -> None:
    run = TypedRun("k", {"shot_mass": "3400", "start_temperature": "20", "end_temperature": "22"})
    kept = run.confirm("shot_mass").confirm("end_temperature")
    assert kept.mark("shot_mass") in kept.kept
    changed = TypedRun("k", {**run.texts, "shot_mass": "340", "start_temperature": "21"}, kept=kept.kept)
    assert changed.mark("shot_mass") not in changed.kept
    assert changed.mark("end_temperature") not in changed.kept, "an end belongs to its start"


def test_the_next_run_stands_by_what_it_carries_over_and_by_nothing_else() -> None:
    before = TypedRun("k", {"shot_mass": "3400", "inversions": "500", "end_temperature": "99"})
    for name in before.texts:
        before = before.confirm(name)
    following = fresh(before)
    assert following.kept == {before.mark("shot_mass")}
    assert (following.text("shot_mass"), following.text("inversions")) == ("3400", "")
    assert following.key not in ("", "k")
