"""What is read from the draws: class value, separation, leak, ledger, budget."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest

from app.analysis.fit.accepted import accepted_inside, accepted_range
from app.analysis.fit.budget import class_budget
from app.analysis.fit.class_fit import ClassFit, NotFitted, class_fit
from app.analysis.fit.class_value import class_value
from app.analysis.fit.heat_ledger import heat_ledger, ledger_shares
from app.analysis.fit.linear import THERMOMETER
from app.analysis.fit.quantities import specific_heat
from app.analysis.fit.separated import leak, separated
from app.analysis.fit.shared import COMMON_TECHNIQUE, THERMOMETER_SCALE, shared_uncertainties
from app.analysis.readings import ClassSettings, RunReadings
from app.physics.materials import MATERIALS
from tests.analysis.classes import perfect_runs
from tests.analysis.fit.rooms import ALONE, LEAD, a_room, fitted
from tests.simulated_room import Room, simulate_room

EVEN = fitted(a_room(1))


def test_a_class_without_error_gives_its_own_numbers() -> None:
    """perfect_runs obey m·e = (m·c + C)·w with c = 127.4 and C = 45 exactly."""
    runs = perfect_runs()
    fit = fitted(runs, replace(ALONE, accepted_J_per_kg_K=127.4, thermometer_step_K=0.01, reading_sd_K=0.0))
    apart, value = separated(fit), class_value(fit)
    assert apart.heat_capacity_J_per_kg_K == pytest.approx(127.4, rel=0.005)
    assert apart.heat_sink_J_per_K == pytest.approx(45.0, rel=0.01)
    masses = [run.shot_mass_kg for run in runs]
    expected = 1 / float(np.mean([1 / (127.4 + 45 / m) for m in masses]))
    assert value.apparent_heat_capacity_J_per_kg_K == pytest.approx(expected, rel=0.002)
    shares = ledger_shares(fit, told_apart=True)
    assert shares is not None
    assert shares.sink is not None
    in_shot = float(np.mean([127.4 * m / (127.4 * m + 45) for m in masses]))
    assert shares.shot.value == pytest.approx(in_shot, abs=0.001)
    assert shares.sink.value == pytest.approx(1 - in_shot, abs=0.005)


@pytest.mark.parametrize("told_apart", [True, False])
def test_what_a_ledger_shows_adds_up_to_the_fall_energy(told_apart: bool) -> None:
    """Where the sink is not told apart, all that is not in the shot is unaccounted for."""
    found = heat_ledger(fitted(a_room(1)), told_apart)
    assert found is not None
    assert (found.heat_sink is not None) is told_apart
    assert found.shot + (found.heat_sink or 0.0) + found.unaccounted == pytest.approx(1.0)


def test_the_ledgers_shares_add_up_to_the_fall_energy() -> None:
    leaking = fitted(a_room(4, Room(leak_J_per_K_per_inversion=0.1, start_above_room_K=3.0)))
    shares = ledger_shares(leaking, told_apart=True)
    assert shares is not None
    assert shares.sink is not None
    assert shares.leak is not None
    parts = (shares.shot, shares.sink, shares.leak, shares.unaccounted)
    assert sum(part.value for part in parts) == pytest.approx(1.0, abs=0.01)
    assert shares.leak.value > 0.02
    together = ledger_shares(leaking, told_apart=False)
    assert together is not None
    assert together.sink is None
    assert together.leak is None
    assert together.unaccounted.value == pytest.approx(1 - shares.shot.value, abs=0.005)


def test_a_leak_is_in_the_result_whenever_a_room_temperature_is_known() -> None:
    assert leak(EVEN).interval_95 is not None
    runs = [replace(run, room_temperature_C=None) for run in a_room(1)]
    without = leak(fitted(runs))
    assert without.per_inversion_J_per_K is None
    assert "No room temperature is known" in str(without.absent_because)
    one_is_enough = [replace(runs[0], room_temperature_C=21.0), *runs[1:]]
    assert leak(fitted(one_is_enough)).interval_95 is not None
    of_class = leak(fitted(runs, replace(LEAD, room_temperature_C=21.0)))
    assert of_class.interval_95 == pytest.approx(leak(EVEN).interval_95, rel=1e-6)


@pytest.mark.parametrize(
    ("room", "words"),
    [
        (Room(masses_kg=(0.5,), mass_spread=0.01), "about the same mass"),
        (Room(benches=6, masses_kg=(0.45, 0.55), mass_spread=0.0), "differ more"),
        (Room(benches=3), "at least four benches are needed"),
    ],
)
def test_a_design_that_cannot_separate_says_so_and_what_to_change(room: Room, words: str) -> None:
    for seed in range(3):
        apart = separated(fitted(a_room(seed, room)))
        assert not apart.identifiable
        assert apart.interval_95 is None
        assert words in str(apart.reason)


def test_whether_a_class_separates_does_not_depend_on_its_warmings() -> None:
    runs = a_room(2)
    rng = np.random.default_rng(1)
    wild = [
        replace(run, end_temperature_C=run.end_temperature_C + float(rng.normal(0.0, 0.3))) for run in runs
    ]
    assert separated(fitted(runs)).identifiable
    assert separated(fitted(wild)).identifiable


@pytest.mark.parametrize("seed", range(3))
def test_no_interval_reaches_below_zero(seed: int) -> None:
    room = Room(benches=5, technique_sd_bench=0.1, masses_kg=(0.3, 0.6))
    apart = separated(fitted(a_room(seed, room)))
    for interval in (apart.interval_95, apart.heat_sink_interval_95):
        assert interval is None or interval[0] >= 0.0


def test_one_bench_or_two_have_a_value_and_no_interval() -> None:
    for benches, words in ((1, "One bench alone"), (2, "Too few benches")):
        value = class_value(fitted(a_room(1, Room(benches=benches))))
        assert value.interval_95 is None
        assert words in str(value.interval_absent_because)
        assert 150 < value.apparent_heat_capacity_J_per_kg_K < 350


def test_the_shared_lines_widen_the_class_value_as_they_say() -> None:
    """u² of the class value is its own plus that of each shared source times the value, squared."""
    alone, with_lines = fitted(a_room(3), ALONE), fitted(a_room(3), replace(LEAD, common_technique=0.05))
    own = alone.draws.sd(specific_heat(alone))
    shared = sqrt(sum(u * u for u in shared_uncertainties(with_lines).values()))
    expected = sqrt(own**2 + (shared * alone.draws.median(specific_heat(alone))) ** 2)
    assert with_lines.draws.sd(specific_heat(with_lines)) == pytest.approx(expected, rel=0.04)


def test_a_run_is_weighed_by_its_own_thermometer() -> None:
    """u(shot's share) from the readings: c·√(Σ u²/e²)/n, with the step of each run; JCGM 100:2008, 5.1.2."""
    room = Room(thermometer_steps_K=(0.1, 0.5))
    made = simulate_room(np.random.default_rng(5), room)
    runs = [RunReadings(**vars(run.recorded)) for run in made]
    steps = [run.thermometer_step_K for run in made]
    exact = replace(ALONE, u_accepted_J_per_kg_K=0.0, reading_sd_K=0.0)
    fit = fitted(_with_steps(runs, steps), exact)
    shares = ledger_shares(fit, told_apart=True)
    assert shares is not None
    energy = 9.80665 * np.array([(r.tube_length_m - r.end_allowance_m) * r.inversions for r in runs])
    expected = 129.0 * float(np.sqrt((np.square(steps) / 6 / np.square(energy)).sum())) / len(runs)
    assert shares.shot.u == pytest.approx(expected, rel=0.05)
    one_step = class_fit(runs, exact)
    assert isinstance(one_step, ClassFit)
    fine = ledger_shares(one_step, told_apart=True)
    assert fine is not None
    assert fine.shot.u < 0.5 * expected


def test_one_step_for_each_run_is_the_settings_step_where_they_are_alike() -> None:
    runs = a_room(1)
    alike = fitted(_with_steps(runs, [LEAD.thermometer_step_K] * len(runs)))
    assert np.array_equal(specific_heat(EVEN), specific_heat(alike))


def _with_steps(runs: list[RunReadings], steps: list[float]) -> list[RunReadings]:
    return [replace(run, thermometer_step_K=step) for run, step in zip(runs, steps, strict=True)]


@pytest.mark.parametrize("of_specific_heat", [True, False])
def test_the_budget_adds_up_and_is_ranked(of_specific_heat: bool) -> None:
    lines = class_budget(EVEN, of_specific_heat)
    shares = [line.share_of_variance for line in lines]
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)
    assert {THERMOMETER_SCALE, COMMON_TECHNIQUE} <= {line.source for line in lines}
    assert all(str(line.advice) for line in lines)


def test_a_coarse_thermometer_leads_the_budget() -> None:
    room = Room(technique_sd_bench=0.005, technique_sd_run=0.005, sink_spread=0.0, thermometer_steps_K=(1.0,))
    fit = fitted(a_room(1, room), replace(ALONE, thermometer_step_K=1.0))
    assert class_budget(fit, of_specific_heat=True)[0].source == THERMOMETER


def test_an_alloy_is_held_against_its_range() -> None:
    steel = MATERIALS["steel"]
    settings = ClassSettings(
        accepted_J_per_kg_K=steel.accepted_J_per_kg_K,
        material="steel",
        u_accepted_J_per_kg_K=steel.u_accepted_J_per_kg_K,
    )
    assert accepted_range(settings) == (450.0, 500.0)
    assert accepted_inside((440.0, 455.0), settings)
    assert not accepted_inside((430.0, 449.0), settings)
    typed = replace(settings, accepted_J_per_kg_K=470.0, u_accepted_J_per_kg_K=0.0)
    assert accepted_range(typed) == (470.0, 470.0)


def test_no_counted_run_is_a_reason_not_an_error() -> None:
    aside = [replace(run, set_aside=True) for run in a_room(1)]
    for runs in ([], aside, [replace(run, inversions=0.0) for run in a_room(1)]):
        found = class_fit(runs, LEAD)
        assert isinstance(found, NotFitted)
        assert "No run is counted" in str(found.reason)
