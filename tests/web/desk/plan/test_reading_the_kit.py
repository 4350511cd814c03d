"""The kit as it is read from the planner's form, at the ends of what it takes."""

from __future__ import annotations

from app.web.desk.plan.kit import KitForm, kit_form_of, read_kit_form
from tests.practicals.a_class import a_plan


def read(**changed: str) -> KitForm:
    """The kit that the form offers for a plan of twelve benches, with these fields typed over."""
    plan = a_plan()
    return read_kit_form(kit_form_of(plan, None).typed | changed, plan, None)


def test_ninety_nine_tubes_of_all_kinds_are_taken_and_one_more_is_not() -> None:
    others = {"length_2": "1 m", "step_2": "0.1"}
    taken = read(tubes_1="60", tubes_2="39", **others)
    assert taken.problems == {}
    assert taken.kit is not None
    assert taken.kit.benches == 99
    refused = read(tubes_1="60", tubes_2="40", **others)
    assert refused.kit is None
    assert [*refused.problems] == ["tubes_1"]
    assert "at most 99 benches" in str(refused.problems["tubes_1"])


def test_no_minutes_at_all_are_no_lesson() -> None:
    """With nothing beside the tipping a single minute would do for a run of thirty inversions."""
    assert read(minutes="1", minutes_beside="0").problems == {}
    assert [*read(minutes="0", minutes_beside="0").problems] == ["minutes"]
