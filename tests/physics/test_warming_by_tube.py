"""A tube warmer or colder than the shot, held against the first law: what one gives up the other takes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.physics.energy import warming_by_tube
from tests.physics.test_simulated_room import QUIET, warming
from tests.simulated_room import AS_LEFT, AT_ROOM, RoomRun, simulate_room

C_LEAD, SINK, ROOM_C = 129.0, 45.0, 21.0
"""As `Room` has them."""


def quiet(**changes: object) -> list[RoomRun]:
    room = replace(QUIET, start_above_room_K=-3.0, **changes)  # type: ignore[arg-type]
    return simulate_room(np.random.default_rng(1), room)


def fall_energy_J(run: RoomRun) -> float:
    r = run.recorded
    return run.true_mass_kg * 9.80665 * r.fall_m * r.inversions


def test_two_bodies_come_to_one_temperature_without_gaining_or_losing_heat() -> None:
    """Source: first law, by hand: 58 J/K at 18 °C and 45 J/K at 21 °C make 103 J/K at 19.3107 °C."""
    both = 18.0 + warming_by_tube(21.0 - 18.0, 58.0, 45.0)
    assert both == pytest.approx(1989.0 / 103.0)
    assert 58.0 * (both - 18.0) == pytest.approx(45.0 * (21.0 - both))


def test_a_tube_two_kelvins_apart_makes_a_heat_capacity_about_a_sixth_too_low() -> None:
    """Source: energy balance by hand: 45 J/K · 2 K = 90 J beside 500 J, so that c* is 500/590 of itself."""
    warmed_by_falls = 500.0 / (58.0 + 45.0)
    read = warmed_by_falls + warming_by_tube(2.0, 58.0, 45.0)
    assert warmed_by_falls / read == pytest.approx(500.0 / 590.0)


def test_a_tube_at_room_temperature_gives_the_chilled_shot_its_heat() -> None:
    """Source: first law for tube and shot together, from pouring to the last turn:
    (m·c + C)·T_end = m·c·T_shot + C·T_room + m·g·h·N."""
    for run in quiet(tube_starts=AT_ROOM):
        r, shot = run.recorded, run.true_mass_kg * C_LEAD
        held = shot * r.start_temperature_C + SINK * ROOM_C + fall_energy_J(run)
        assert (shot + SINK) * r.end_temperature_C == pytest.approx(held, rel=1e-5)
        # Shot and sink have what the falls gave, no more: the rest came from the tube.
        assert run.shot_share + run.sink_share == pytest.approx(1.0, abs=1e-3)


def test_a_start_read_once_it_no_longer_changes_has_the_tube_in_it() -> None:
    """Source: first law: m·g·h·N = (m·c + C)·w, wherever the tube started."""
    for run in quiet(tube_starts=AT_ROOM, start_read_settled=True):
        shot = run.true_mass_kg * C_LEAD
        assert (shot + SINK) * warming(run) == pytest.approx(fall_energy_J(run), rel=1e-3)
        assert run.recorded.start_temperature_C == pytest.approx(
            (shot * 18.0 + SINK * 21.0) / (shot + SINK), abs=1e-3
        )


def test_a_tube_used_as_it_was_left_is_warm_from_the_run_before() -> None:
    """Source: as above, with the end of the bench's run before for the tube; the first finds it at 21 °C."""
    left: dict[str, float] = {}
    for run in quiet(tube_starts=AS_LEFT):
        r, shot = run.recorded, run.true_mass_kg * C_LEAD
        tube_C = left.get(r.bench, ROOM_C)
        held = shot * r.start_temperature_C + SINK * tube_C + fall_energy_J(run)
        assert (shot + SINK) * r.end_temperature_C == pytest.approx(held, rel=1e-5)
        left[r.bench] = r.end_temperature_C


def test_starts_read_in_a_tube_used_as_it_was_left_go_up_from_run_to_run() -> None:
    made = quiet(tube_starts=AS_LEFT, start_read_settled=True, same_count=True)
    for bench in {run.recorded.bench for run in made}:
        starts = [run.recorded.start_temperature_C for run in made if run.recorded.bench == bench]
        assert starts == sorted(starts)
        assert starts[-1] - starts[0] > 0.5
