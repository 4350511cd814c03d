"""The last kit that a class can work with, and the first that it cannot; what is said of a plan beyond it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube, check_kit
from app.analysis.plan.kit_limits import (
    MassLimits,
    _start,
    beyond_the_kit,
    enough_shot,
    mass_limits,
    to_step,
)
from app.analysis.plan.prediction import BenchPlan, predict
from app.physics.energy import settled_depth
from tests.analysis.plan.test_planning import KIT, TUBE


def refused(kit: Kit) -> str | None:
    try:
        check_kit(kit)
    except ImpossiblePlan as problem:
        return problem.field
    return None


@pytest.mark.parametrize(
    "name",
    [
        *("minutes", "tips_per_minute", "most_mass_kg", "least_mass_kg", "shot_available_kg"),
        *("gravity_m_per_s2", "heat_capacity_J_per_kg_K", "thermometer_steps_K"),
    ],
)
def test_what_must_be_more_than_nothing(name: str) -> None:
    def given(value: float) -> Any:
        return (value,) if name == "thermometer_steps_K" else value

    beside: dict[str, dict[str, Any]] = {
        "minutes": {"tips_per_minute": 1e9, "minutes_beside_tipping": 0.0},
        "tips_per_minute": {"minutes": 1e9},
    }
    for value, field in ((1e-3, None), (0.0, name), (-1.0, name), (float("inf"), name), (float("nan"), name)):
        kit: Any = replace(KIT, **{**beside.get(name, {}), name: given(value)})
        assert refused(kit) == field, value


@pytest.mark.parametrize(
    "name",
    [
        *("reading_sd_K", "minutes_beside_tipping", "heat_sink_J_per_K", "technique_sd_bench"),
        *("technique_sd_run", "length_sd_m", "u_gravity_m_per_s2"),
    ],
)
def test_what_may_be_nothing_and_not_less(name: str) -> None:
    for value, field in ((0.0, None), (0.05, None), (-1e-9, name), (float("inf"), name)):
        changes: dict[str, Any] = {name: value}
        kit = replace(KIT, **changes)
        assert refused(kit) == field, value


@pytest.mark.parametrize(
    ("tube", "field"),
    [
        (Tube(10.0), None),
        (Tube(10.001), "tubes"),
        (Tube(0.0), "tubes"),
        (Tube(1.0, 0.005), None),
        (Tube(1.0, 0.5), None),
        (Tube(1.0, 0.04, caps_m=0.0), None),
        (Tube(1.0, 0.04, caps_m=-0.001), "caps"),
        (Tube(1.0, 0.04, caps_m=0.999), None),
        (Tube(1.0, end_allowance_m=0.999), None),
        (Tube(1.0, end_allowance_m=1.0), "end_allowance"),
        (Tube(1.0, end_allowance_m=-0.001), "end_allowance"),
        (Tube(1.0, 0.04, end_allowance_m=5.0), None),  # with a bore it is worked out
        (Tube(1.0, None, caps_m=5.0), None),
    ],
)
def test_a_tube_at_its_limits(tube: Tube, field: str | None) -> None:
    assert refused(Kit((tube,))) == field


def test_the_tube_that_cannot_be_is_named_by_its_number() -> None:
    for second, said in (
        (Tube(11.0), "Tube 2: its length"),
        (Tube(1.0, 0.6), "Tube 2: its bore"),
        (Tube(1.0, 0.04, caps_m=1.0), "Tube 2: its caps leave no fall"),
    ):
        with pytest.raises(ImpossiblePlan, match=said):
            check_kit(Kit((Tube(1.0), second)))


def test_there_is_time_for_one_run_of_one_turn_or_for_none() -> None:
    one = replace(KIT, minutes=4.5, minutes_beside_tipping=4.0, tips_per_minute=2.0)
    assert refused(one) is None
    assert refused(replace(one, tips_per_minute=1.9)) == "minutes"
    assert refused(replace(one, minutes=4.0)) == "minutes"


def test_a_class_has_up_to_two_hundred_tubes_and_a_step_for_all_or_for_each() -> None:
    assert refused(Kit((Tube(1.0),) * 200)) is None
    assert refused(Kit((Tube(1.0),) * 201)) == "tubes"
    assert refused(Kit((Tube(1.0),) * 2, thermometer_steps_K=(0.1, 0.5))) is None
    assert refused(Kit((Tube(1.0),) * 3, thermometer_steps_K=(0.1, 0.5))) == "thermometer_steps_K"
    two = Kit((Tube(1.0),) * 2, thermometer_steps_K=(0.1, 0.5))
    assert [two.step_K(0), two.step_K(1), replace(two, thermometer_steps_K=(0.2,)).step_K(1)] == [
        0.1,
        0.5,
        0.2,
    ]


@pytest.mark.parametrize(("inversions", "field"), [(1, None), (0, "most_inversions"), (10_000, None)])
def test_the_most_inversions_are_a_count_that_can_be_turned(inversions: int, field: str | None) -> None:
    assert refused(replace(KIT, most_inversions=inversions)) == field


@pytest.mark.parametrize(
    ("room", "field"), [(-20, None), (60, None), (-20.1, "room_temperature_C"), (60.1, "x")]
)
def test_a_room_in_which_a_class_works(room: float, field: str | None) -> None:
    assert refused(replace(KIT, room_temperature_C=room)) == (field and "room_temperature_C")


def test_the_least_mass_covers_three_centimetres_and_the_most_fills_a_quarter_of_the_tube() -> None:
    """0.6 × 11340 kg/m³ × π·(40 mm)²/4 is 8.55 kg/m: 257 g for 3 cm, 2.09 kg for a quarter of 98 cm."""
    per_metre = 1 / settled_depth(1.0, 0.04, 11340)
    ((low, high),) = mass_limits(Kit((TUBE,), most_mass_kg=9.0)).each
    assert low == pytest.approx(0.03 * per_metre)
    assert high == pytest.approx(0.25 * (1.0 - 0.02) * per_metre)
    assert mass_limits(Kit((Tube(1.0),))).each == ((0.2, 1.2),), "where the bore is not known"
    assert mass_limits(Kit((TUBE,), least_mass_kg=0.1)).each == ((0.1, 1.2),)


def test_a_tube_that_takes_no_mass_is_named_with_the_two_that_part() -> None:
    """As above: 8.55 kg/m, of 10 cm a quarter."""
    said = r"No mass fits tube 2: .* bulb \(about 257 g\) .* a quarter of the tube \(about 214 g\)\."
    with pytest.raises(ImpossiblePlan, match=said):
        mass_limits(Kit((TUBE, Tube(0.1, 0.04))))
    with pytest.raises(ImpossiblePlan, match=r"about 1900 g\) .* \(about 1202 g\)\."):
        mass_limits(Kit((Tube(1.0, 0.03),), least_mass_kg=1.9, most_mass_kg=2.0))
    assert mass_limits(Kit((Tube(1.0),), least_mass_kg=0.5, most_mass_kg=0.5)).each == ((0.5, 0.5),)


def test_masses_at_the_limits_are_worth_proposing_whatever_rounding_adds() -> None:
    limits = MassLimits(((0.2, 0.3),))
    assert [limits.fit([mass]) for mass in (0.2, 0.3, 0.1 + 0.2, 0.19, 0.31)] == [True] * 3 + [False] * 2


def test_the_sentence_of_too_little_shot_counts_the_benches() -> None:
    with pytest.raises(ImpossiblePlan, match=r"2\.39 kg of shot is not enough: each bench needs about 200 g"):
        mass_limits(Kit((Tube(1.0),) * 12, shot_available_kg=2.39))
    with pytest.raises(ImpossiblePlan, match=r"1 kg of shot is not enough: each bench needs about 600 g"):
        mass_limits(Kit((Tube(1.0),) * 2, least_mass_kg=0.6, shot_available_kg=1.0))
    assert mass_limits(Kit((Tube(1.0),) * 12, shot_available_kg=2.4)).low == 0.2
    kit = Kit((Tube(1.0),) * 2, shot_available_kg=0.3)
    assert enough_shot(kit, [0.1, 0.2])
    assert not enough_shot(kit, [0.1, 0.201])
    assert enough_shot(replace(kit, shot_available_kg=None), [9.0])


@pytest.mark.parametrize(
    ("kg", "down", "up"), [(0.2565, 0.25, 0.26), (0.3, 0.3, 0.3), (0.001, 0.01, 0.01), (0.30999, 0.3, 0.31)]
)
def test_masses_are_proposed_in_tens_of_grams(kg: float, down: float, up: float) -> None:
    assert (to_step(kg), to_step(kg, up=True)) == (down, up)


def a_bench(**changes: Any) -> BenchPlan:
    usual: dict[str, Any] = {"bench": "1", "tube": TUBE, "thermometer_step_K": 0.1, "shot_mass_kg": 0.5}
    return BenchPlan(**{**usual, "inversions": 60, "runs": 3, **changes})


def beyond(kit: Kit, *plans: BenchPlan) -> list[tuple[str, str, str]]:
    found = beyond_the_kit(kit, predict(kit, plans))
    return [(one.bench, one.field, str(one.sentence)) for one in found]


def test_a_plan_within_the_kit_goes_beyond_nothing() -> None:
    kit = replace(KIT, tubes=(TUBE,), minutes=18.0, minutes_beside_tipping=4.0, tips_per_minute=30.0)
    assert beyond(kit, a_bench()) == [], "three runs of six minutes are just possible"
    assert beyond(replace(kit, minutes=17.9), a_bench()) == [
        ("1", "runs", "All runs of this bench take about 18 min; there are 17.9.")
    ]


@pytest.mark.parametrize(
    ("changes", "kit", "field", "said"),
    [
        ({"inversions": 101}, {}, "inversions", "More than the most inversions in one run (100)."),
        ({"inversions": 100}, {}, "inversions", None),
        (
            {"shot_mass_kg": 1.01},
            {"most_mass_kg": 1.0},
            "mass",
            None,
        ),  # a step more is what rounding to tens of grams does
        ({"shot_mass_kg": 1.02}, {"most_mass_kg": 1.0}, "mass", "(1000 g)"),
        (
            {"shot_mass_kg": 0.2},
            {"least_mass_kg": 0.22},
            "mass",
            "Less than the least shot for one bench (220 g).",
        ),
        ({"shot_mass_kg": 0.24}, {}, "mass", "May not cover the thermometer's bulb: about 257 g do."),
        ({"shot_mass_kg": 0.247}, {}, "mass", None),
        ({"shot_mass_kg": 2.5}, {"most_mass_kg": 9.0}, "mass", "Fills about 30 % of the tube"),
        ({"shot_mass_kg": 2.1}, {"most_mass_kg": 9.0}, "mass", None),
        ({"shot_mass_kg": 8.3}, {"most_mass_kg": 9.0}, "mass", "Fills about 99 % of the tube"),
        ({"shot_mass_kg": 0.5}, {"least_mass_kg": 0.6}, "mass", "the least shot for one bench (600 g)."),
        ({"second_inversions": 100, "runs": 2}, {}, "second", None),
        ({"second_inversions": 101, "runs": 2}, {}, "second", "the most inversions in one run (100)."),
        ({"second_inversions": 50, "runs": 1}, {}, "second", "This bench has no second run"),
        ({"start_temperature_C": 31.0}, {}, "start", None),
        ({"start_temperature_C": 31.1}, {}, "start", "Far from the room's 21 °C"),
    ],
)
def test_a_number_beyond_the_kit_is_said_with_its_reason(
    changes: dict[str, Any], kit: dict[str, Any], field: str, said: str | None
) -> None:
    found = [
        one
        for one in beyond(replace(KIT, tubes=(TUBE,), minutes=60.0, **kit), a_bench(**changes))
        if one[1] == field
    ]
    assert len(found) == (said is not None), found
    assert said is None or said in found[0][2]


@pytest.mark.parametrize(
    ("start", "far"), [(6.0, False), (-4.0, False), (-4.1, True), (10.9, False), (31.1, True)]
)
def test_a_start_near_to_the_proposed_one_is_not_far_from_the_room(start: float, far: bool) -> None:
    """Proposed 15 K below the room's 21 °C: ten kelvins about that, and about the room, are near."""
    (usual,) = predict(KIT, [a_bench()]).benches
    found = list(_start(KIT, replace(usual, start_temperature_C=start, start_below_room_K=15.0)))
    assert [str(one) for one in found] == (
        ["Far from the room's 21 °C: heat leaks through the whole run."] if far else []
    )


def test_the_bench_at_which_the_shot_runs_out_is_named_with_the_whole_need() -> None:
    kit = replace(KIT, tubes=(TUBE,) * 3, shot_available_kg=1.2, minutes=60.0)
    plans = [a_bench(bench=str(number)) for number in (1, 2, 3)]
    assert beyond(kit, *plans) == [
        ("3", "mass", "All benches together need 1.5 kg of shot; there is 1.2 kg, used up here.")
    ]
    assert beyond(replace(kit, shot_available_kg=1.5), *plans) == []
