"""What the first runs show of a plan that goes wrong, said once and while there is time."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from app.analysis.noticed import (
    ALIKE,
    ALIKE_AGAINST_THE_PLAN,
    DEPTHS,
    MASSES,
    STARTS,
    UNMEASURED,
    LessonPlan,
    Notice,
    noticed,
)
from app.analysis.readings import RunReadings
from tests.simulated_room import AS_LEFT, Room, simulate_room

LEAD = 11340.0
PLAN = LessonPlan(benches=12, density_kg_per_m3=LEAD, thermometer_step_K=0.1)


def a_run(bench: int, run: int = 1, **changes: Any) -> RunReadings:
    usual = RunReadings(str(bench), str(run), 0.2 + 0.1 * bench, 1.0, 0.08, 80.0, 19.0, 22.0)
    return replace(usual, **changes)


def about(found: tuple[Notice, ...]) -> list[str]:
    return [notice.about for notice in found]


def masses(*kilograms: float) -> list[RunReadings]:
    return [a_run(bench, shot_mass_kg=mass) for bench, mass in enumerate(kilograms, 1)]


def starts(bench: int, *celsius: float, warming: float = 4.0) -> list[RunReadings]:
    return [
        a_run(bench, number, start_temperature_C=start, end_temperature_C=start + warming)
        for number, start in enumerate(celsius, 1)
    ]


def test_a_class_that_does_as_planned_is_told_nothing() -> None:
    assert noticed([], PLAN) == ()
    assert noticed([a_run(bench) for bench in range(1, 13)], PLAN) == ()


def test_two_planned_masses_that_came_out_as_one_are_seen_at_the_second_bench() -> None:
    plan = replace(PLAN, masses_kg={"1": 0.24, "2": 0.88, "3": 0.24})
    assert noticed(masses(0.45), plan) == ()
    (said,) = noticed(masses(0.45, 0.452), plan)
    assert said.about == MASSES
    assert said.sentence.template == ALIKE_AGAINST_THE_PLAN
    assert "(450–452 g), although the plan has them apart (240–880 g)" in str(said.sentence)
    assert noticed(masses(0.24, 0.88), plan) == ()


def test_benches_of_one_planned_mass_are_no_sign_while_the_others_are_still_to_come() -> None:
    plan = replace(PLAN, benches=4, masses_kg={"1": 0.24, "2": 0.24, "3": 0.24, "4": 0.88})
    assert noticed(masses(0.24, 0.24, 0.24), plan) == ()


def test_like_masses_that_nobody_planned_are_seen_once_half_of_the_class_is_in() -> None:
    assert noticed(masses(*[0.45] * 5), PLAN) == ()
    (said,) = noticed(masses(*[0.45] * 6), PLAN)
    assert said.sentence.template == ALIKE
    assert noticed(masses(0.45, 0.45), replace(PLAN, benches=2)) == ()
    assert about(noticed(masses(*[0.45] * 3), replace(PLAN, benches=6))) == [MASSES]
    planned_alike = replace(PLAN, benches=6, masses_kg={str(bench): 0.45 for bench in range(1, 7)})
    assert about(noticed(masses(*[0.45] * 3), planned_alike)) == [MASSES]


def test_a_bench_that_changed_its_mass_for_the_next_run_takes_the_notice_away() -> None:
    runs = masses(*[0.45] * 6)
    assert about(noticed(runs, PLAN)) == [MASSES]
    assert noticed([*runs, a_run(2, 2, shot_mass_kg=0.22)], PLAN) == ()
    assert about(noticed([*runs, a_run(2, 2, shot_mass_kg=0.22, set_aside=True)], PLAN)) == [MASSES]


def test_starts_that_go_up_at_several_benches_are_one_notice_with_their_readings() -> None:
    (said,) = noticed([*starts(2, 18.4, 19.5), *starts(5, 18.0, 19.1, 20.2), *starts(6, 18.2, 18.2)], PLAN)
    assert said.about == STARTS
    assert "2: 18.4, 19.5\u00a0°C; 5: 18.0, 19.1, 20.2\u00a0°C. A tube that" in str(said.sentence)


def test_one_bench_alone_is_named_after_three_runs_and_half_of_its_warming() -> None:
    others = [run for bench in range(3, 9) for run in starts(bench, 18.0, 18.1, 17.9)]
    assert noticed([*starts(2, 18.0, 20.5), *others], PLAN) == ()
    assert noticed([*starts(2, 18.0, 18.8, 19.5), *others], PLAN) == ()
    assert about(noticed([*starts(2, 18.0, 19.2, 20.0), *others], PLAN)) == [STARTS]


@pytest.mark.parametrize(
    ("last", "warming", "told"),
    [(18.5, 1.0, True), (18.4, 1.0, False), (19.0, 4.0, True), (18.9, 4.0, False)],
)
def test_starts_go_up_by_half_a_kelvin_and_a_quarter_of_the_warming(
    last: float, warming: float, told: bool
) -> None:
    runs = [*starts(2, 18.0, last, warming=warming), *starts(3, 18.0, last, warming=warming)]
    assert (STARTS in about(noticed(runs, PLAN))) is told


@pytest.mark.parametrize(("others", "told"), [(6, True), (7, False)])
def test_two_benches_in_eight_are_enough_and_in_nine_too_few(others: int, told: bool) -> None:
    level = [run for bench in range(4, 4 + others) for run in starts(bench, 18.0, 18.0)]
    runs = [*starts(2, 18.0, 19.5), *starts(3, 18.0, 19.5), *level, a_run(20)]
    assert (STARTS in about(noticed(runs, PLAN))) is told


def test_a_start_within_a_mark_of_the_one_before_does_not_go_up() -> None:
    coarse = replace(PLAN, thermometer_step_K=1.0)
    runs = [*starts(2, 18.0, 19.0, 20.0), *starts(3, 18.0, 19.0, 20.0)]
    assert about(noticed(runs, PLAN)) == [STARTS]
    assert noticed(runs, coarse) == ()
    own = [replace(run, thermometer_step_K=0.5) for run in runs]
    assert about(noticed(own, coarse)) == [STARTS]


@pytest.mark.parametrize(("tube_starts", "told"), [("with the shot", 0), (AS_LEFT, 10)])
def test_simulated_classes_are_told_of_warm_tubes_where_they_have_them(tube_starts: str, told: int) -> None:
    """Starts that scatter by 0.3 K, and tubes used as the last run left them, read once they have settled."""
    room = Room(tube_starts=tube_starts, start_read_settled=True, start_above_room_K=-3.0)
    classes = [
        [RunReadings(**vars(run.recorded)) for run in simulate_room(np.random.default_rng(seed), room)]
        for seed in range(10)
    ]
    assert sum(STARTS in about(noticed(runs, PLAN)) for runs in classes) >= told
    assert told or not any(noticed(runs, PLAN) for runs in classes)


def test_a_depth_off_by_more_than_a_fifth_is_told_with_what_was_expected() -> None:
    """Expected by hand: 0.5 kg / (0.6 · 11340 kg/m³ · π/4 · (0.04 m)²) = 5.85 cm; a fifth off: 4.68, 7.02."""
    plan = replace(PLAN, bore_m=0.04)
    for depth, wrong in ((0.0470, False), (0.0466, True), (0.0700, False), (0.0704, True), (None, False)):
        found = noticed([a_run(3, settled_depth_m=depth), a_run(1)], plan)
        assert about(found) == [DEPTHS] * wrong, depth
    (said,) = noticed([a_run(3, settled_depth_m=0.021), a_run(4, settled_depth_m=0.02)], plan)
    assert "the bore of 40 mm (bench: measured, expected): 3: 2.1 cm, 5.8 cm; 4: 2.0 cm, 7.0 cm." in str(
        said.sentence
    )
    assert noticed([a_run(3, settled_depth_m=0.021)], PLAN) == (), "the bore is not known"


def test_a_depth_measured_again_takes_the_notice_away() -> None:
    plan = replace(PLAN, bore_m=0.04)
    runs = [a_run(3, 1, settled_depth_m=0.021), a_run(3, 2, settled_depth_m=0.057)]
    assert noticed(runs, plan) == ()


def test_benches_without_a_depth_are_named_where_the_plan_lets_each_measure_it() -> None:
    runs = [a_run(1, caps_m=0.02, settled_depth_m=0.06), a_run(2), a_run(3), a_run(3, 2)]
    (notice,) = noticed(runs, replace(PLAN, depth_measured=True))
    assert notice.about == UNMEASURED
    assert notice.sentence.values == {"benches": "2, 3"}
    assert noticed(runs, PLAN) == ()
    measured = [replace(run, caps_m=0.02, settled_depth_m=0.06) for run in runs]
    assert noticed(measured, replace(PLAN, depth_measured=True)) == ()
