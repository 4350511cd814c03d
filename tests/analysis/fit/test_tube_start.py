"""What a class is told that its tubes may have done, held against simulated classes where they did it."""

from __future__ import annotations

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.fit.tube_start import APART_TOO_LOW, CLASS_TOO_LOW, TOO_HIGH
from app.analysis.readings import ClassSettings
from app.analysis.results import ClassResult
from app.analysis.views.json import as_plain_data
from app.exports.summary_text import summary_text
from tests.benchmarks.calibration.one_class import class_truth, readings
from tests.simulated_room import AS_LEFT, AT_ROOM, WITH_THE_SHOT, Room, simulate_room

SETTINGS = ClassSettings(accepted_J_per_kg_K=129.0, reading_sd_K=0.05)


def analysed(seed: int = 1, **room: object) -> tuple[ClassResult, float]:
    """A simulated class, and the class value that it would have without heat of the tubes."""
    truth = Room(**room)  # type: ignore[arg-type]
    made = simulate_room(np.random.default_rng(seed), truth)
    return analyse_class([readings(run) for run in made], SETTINGS), class_truth(made, truth)


def percent(result: ClassResult, name: str) -> float:
    (said,) = result.could_still_be_wrong
    return float(said.values[name])


@pytest.mark.parametrize("start", [-3.0, -1.5, None])
@pytest.mark.parametrize(
    ("masses", "said"), [((0.24, 0.45, 0.66, 0.88), APART_TOO_LOW), ((0.5,), CLASS_TOO_LOW)]
)
def test_a_class_in_tubes_at_room_temperature_is_told_how_much_too_low_it_reads(
    start: float | None, masses: tuple[float, ...], said: str
) -> None:
    result, truth = analysed(tube_starts=AT_ROOM, start_above_room_K=start, masses_kg=masses)
    assert [one.template for one in result.could_still_be_wrong] == [said]
    assert result.class_value is not None
    too_low = 100.0 * (1.0 - result.class_value.apparent_heat_capacity_J_per_kg_K / truth)
    assert too_low > 15.0
    assert percent(result, "off") == pytest.approx(too_low, abs=5.0)


@pytest.mark.parametrize("seed", [1, 3])
def test_a_class_in_tubes_as_the_last_run_left_them_is_told_the_same(seed: int) -> None:
    """Read with these starts, seed 3 has no sink at all."""
    result, truth = analysed(seed, tube_starts=AS_LEFT, start_above_room_K=-1.5)
    assert result.class_value is not None
    too_low = 100.0 * (1.0 - result.class_value.apparent_heat_capacity_J_per_kg_K / truth)
    assert too_low > 25.0
    assert percent(result, "off") == pytest.approx(too_low, abs=8.0)
    assert percent(result, "warmer") > 3.0


def test_the_sink_is_read_too_low_and_the_specific_heat_hardly() -> None:
    """The tube's heat goes as 1/m, as the sink's does: the line's end at 1/m = 0 stays."""
    result, _ = analysed(tube_starts=AT_ROOM, start_above_room_K=-3.0)
    assert result.separated.heat_sink_J_per_K is not None
    assert percent(result, "sink") == pytest.approx(
        100.0 * (1.0 - result.separated.heat_sink_J_per_K / 45.0), abs=10.0
    )
    assert percent(result, "heat") < 10.0


def test_a_class_whose_tubes_were_chilled_with_unlike_masses_excludes_tubes_at_room_temperature() -> None:
    chilled, _ = analysed(tube_starts=WITH_THE_SHOT, start_above_room_K=-3.0)
    warm, _ = analysed(tube_starts=AT_ROOM, start_above_room_K=-3.0)
    assert percent(chilled, "warmer") < 1.6 < 2.5 < percent(warm, "warmer")


def test_a_start_read_in_the_settled_tube_is_at_the_tubes_own_temperature() -> None:
    read, truth = analysed(tube_starts=AT_ROOM, start_above_room_K=-3.0, start_read_settled=True)
    assert read.class_value is not None
    assert read.class_value.apparent_heat_capacity_J_per_kg_K == pytest.approx(truth, rel=0.05)


def test_shot_that_starts_above_the_room_may_read_too_high() -> None:
    result, truth = analysed(tube_starts=AT_ROOM, start_above_room_K=3.0)
    assert [one.template for one in result.could_still_be_wrong] == [TOO_HIGH]
    assert result.class_value is not None
    too_high = 100.0 * (result.class_value.apparent_heat_capacity_J_per_kg_K / truth - 1.0)
    assert 10.0 < too_high < percent(result, "off")


def test_nothing_is_said_where_the_shot_starts_like_the_room_or_the_room_is_not_known() -> None:
    assert analysed(start_above_room_K=0.0, start_spread_K=0.0)[0].could_still_be_wrong == ()
    assert (
        analysed(tube_starts=AT_ROOM, start_above_room_K=-3.0, room_known=False)[0].could_still_be_wrong == ()
    )


def test_the_summary_and_the_json_say_it_too() -> None:
    result, _ = analysed(tube_starts=AT_ROOM, start_above_room_K=-3.0)
    (said,) = result.could_still_be_wrong
    assert as_plain_data(result)["could_still_be_wrong"] == [str(said)]
    assert f"What could still be wrong\n  {said}" in summary_text(result)
