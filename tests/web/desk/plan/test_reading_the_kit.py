"""The kit as it is read from the planner's form: all of it, and the ends of what it takes."""

from __future__ import annotations

from app.analysis.plan.kit import Kit, Tube
from app.web.desk.plan.kit import KitForm, kit_form_of, read_kit_form
from tests.practicals.a_class import a_plan


def read(**changed: str) -> KitForm:
    """The kit that the form offers for a plan of twelve benches, with these fields typed over."""
    plan = a_plan()
    return read_kit_form(kit_form_of(plan, None).typed | changed, plan, None)


def test_every_field_goes_into_the_kit_in_si_and_a_zero_stays_one() -> None:
    found = read(
        **{"tubes_1": "2", "step_1": "0.1", "allowance": "6 cm", "caps": "2 cm", "two_counts": "yes"},
        **{"tubes_2": "1", "length_2": "60 cm", "bore_2": "45 mm", "step_2": "0,5"},
        **{"shot_available": "8 kg", "least_mass": "250 g", "most_mass": "1 kg", "room": "19.5"},
        **{"minutes": "25", "minutes_beside": "0", "tips_per_minute": "28", "most_inversions": "90"},
        heat_sink="0",
    )
    assert found.kit == Kit(
        tubes=(Tube(1.0, None, 0.02, 0.06), Tube(1.0, None, 0.02, 0.06), Tube(0.6, 0.045, 0.02, 0.06)),
        material="lead",
        heat_capacity_J_per_kg_K=128.0,
        thermometer_steps_K=(0.1, 0.1, 0.5),
        shot_available_kg=8.0,
        least_mass_kg=0.25,
        most_mass_kg=1.0,
        minutes=25.0,
        minutes_beside_tipping=0.0,
        tips_per_minute=28.0,
        most_inversions=90,
        heat_sink_J_per_K=0.0,
        room_temperature_C=19.5,
        two_counts=True,
    )


def test_what_may_stay_empty_takes_nothing_off_a_tube_and_limits_no_mass() -> None:
    kit = read(tubes_1="1", bore_1="45 mm", caps="", allowance="", room="", minutes_beside="").kit
    assert kit is not None
    assert kit.tubes == (Tube(1.0, 0.045, 0.0, 0.0),)
    assert (kit.shot_available_kg, kit.least_mass_kg, kit.minutes_beside_tipping) == (None, None, 0.0)
    assert (kit.room_temperature_C, kit.two_counts) == (21.0, False)


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


def test_the_first_kind_of_tube_may_not_be_left_out_as_the_others_may() -> None:
    empty = dict.fromkeys(("tubes_1", "length_1", "bore_1", "step_1"), "")
    assert [*read(**empty).problems] == ["tubes_1", "length_1", "step_1"]


def test_no_minutes_and_no_tips_are_no_lesson() -> None:
    """With nothing beside the tipping a single minute would do for a run of thirty inversions."""
    assert read(minutes="1", minutes_beside="0").problems == {}
    for nothing in ("minutes", "tips_per_minute"):
        found = read(**{"minutes_beside": "0", nothing: "0"})
        assert [*found.problems] == [nothing]
        assert found.kit is None
