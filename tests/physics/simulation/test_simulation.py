"""The simulator against the energy balance in closed form, and its slips one by one."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from app.physics.energy import expected_warming, specific_fall_energy
from app.physics.run import LabelledReadings
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, simulate_class
from app.physics.simulation.slips import SLIPS, with_slip
from tests.even_class import even_class

EXACT = SimulatedPractical(
    benches=(SimulatedBench("1", shot_mass_kg=0.4, inversions=60, runs=1),),
    heat_capacity_J_per_kg_K=127.4,
    heat_sink_J_per_K=20.0,
    technique_sd_bench=0.0,
    technique_sd_run=0.0,
    thermometer_step_K=0.0,
    length_sd_m=0.0,
    start_spread_K=0.0,
)
RUN = LabelledReadings("3", "1", 0.34, 0.98, 0.04, 50.0, 19.4, 22.1, 21.0)


def rng() -> np.random.Generator:
    return np.random.default_rng(20)


def test_without_leak_and_chance_the_warming_is_that_of_the_energy_balance() -> None:
    run = simulate_class(rng(), EXACT)[0]
    energy = specific_fall_energy(0.95, 60)
    assert run.true_warming_K == pytest.approx(expected_warming(energy, 0.4, 127.4, 20.0), rel=1e-12)
    assert run.true_heat_sink_share == pytest.approx(20.0 / (0.4 * 127.4 + 20.0))
    assert run.recorded.end_temperature_C - run.recorded.start_temperature_C == pytest.approx(
        run.true_warming_K
    )


def test_a_leak_follows_newtons_law_of_cooling() -> None:
    """Source: the solution of dT/dn = (e − λ·(T − T_room))/K for small steps (exponential approach)."""
    bench = replace(EXACT.benches[0], start_temperature_C=15.0, inversions=400)
    leaky = replace(EXACT, benches=(bench,), heat_leak_per_inversion=0.2)
    run = simulate_class(rng(), leaky)[0]
    per_fall = specific_fall_energy(0.95, 1)
    effective = 127.4 + 20.0 / 0.4
    settled = 21.0 + per_fall / 0.2
    expected = settled + (15.0 - settled) * math.exp(-0.2 * 400 / effective)
    assert run.recorded.end_temperature_C == pytest.approx(expected, abs=0.015)


def test_a_start_half_the_warming_below_the_room_makes_a_leak_nearly_harmless() -> None:
    without = simulate_class(rng(), EXACT)[0].true_warming_K
    balanced = simulate_class(rng(), replace(EXACT, heat_leak_per_inversion=0.1))[0].true_warming_K
    warm = replace(EXACT.benches[0], start_temperature_C=21.0)
    at_room = simulate_class(rng(), replace(EXACT, benches=(warm,), heat_leak_per_inversion=0.1))
    assert balanced == pytest.approx(without, rel=1e-3)
    assert at_room[0].true_warming_K < without * 0.99


def test_a_bench_that_turns_less_often_stops_warming_when_it_stops() -> None:
    few = replace(EXACT.benches[0], bench="2", inversions=30)
    long, short = simulate_class(rng(), replace(EXACT, benches=(EXACT.benches[0], few)))
    assert short.true_warming_K == pytest.approx(long.true_warming_K / 2)


def test_a_class_without_a_heat_sink_leaves_all_energy_in_the_shot() -> None:
    (run,) = simulate_class(rng(), replace(EXACT, heat_sink_J_per_K=0.0))
    assert run.true_heat_sink_share == 0.0
    assert run.true_warming_K == pytest.approx(specific_fall_energy(0.95, 60) / 127.4)


def test_the_same_seed_gives_the_same_class_and_another_seed_another() -> None:
    practical = SimulatedPractical(benches=even_class(12))
    first = simulate_class(np.random.default_rng(5), practical)
    assert first == simulate_class(np.random.default_rng(5), practical)
    assert first != simulate_class(np.random.default_rng(6), practical)
    assert len(first) == 36
    assert {run.recorded.shot_mass_kg for run in first} == {0.24, 0.45, 0.66, 0.88}


def test_technique_scatters_benches_and_runs_as_asked() -> None:
    practical = replace(EXACT, benches=even_class(400, 20), technique_sd_bench=0.06, technique_sd_run=0.02)
    runs = simulate_class(rng(), practical)
    factor = np.array([run.true_specific_energy_J_per_kg for run in runs]).reshape(400, 20)
    factor /= specific_fall_energy(0.95, 50)
    assert factor.mean(axis=1).std(ddof=1) == pytest.approx(0.06, rel=0.15)
    assert factor.std(axis=1, ddof=1).mean() == pytest.approx(0.02, rel=0.1)


def test_readings_stand_on_the_marks_of_the_thermometer_and_of_the_balance() -> None:
    practical = SimulatedPractical(benches=even_class(20), thermometer_step_K=0.5)
    for run in simulate_class(rng(), practical):
        assert run.recorded.start_temperature_C * 2 == round(run.recorded.start_temperature_C * 2)
        assert run.recorded.tube_length_m * 1000 == pytest.approx(round(run.recorded.tube_length_m * 1000))


def test_an_offset_of_the_thermometer_cancels_in_the_warming() -> None:
    shifted = replace(EXACT, thermometer_offset_sd_K=2.0)
    run = simulate_class(rng(), shifted)[0]
    shown = run.recorded.end_temperature_C - run.recorded.start_temperature_C
    assert shown == pytest.approx(run.true_warming_K)
    assert (
        abs(run.recorded.start_temperature_C - simulate_class(rng(), EXACT)[0].recorded.start_temperature_C)
        > 0.1
    )


def test_a_planted_slip_changes_the_record_and_the_truth_stays_beside_it() -> None:
    bench = replace(EXACT.benches[0], runs=3, slips={2: "temperatures-swapped"})
    first, second, _ = simulate_class(rng(), replace(EXACT, benches=(bench,)))
    assert first.recorded == first.as_read
    assert first.slip is None
    assert second.slip == "temperatures-swapped"
    assert second.recorded.start_temperature_C == second.as_read.end_temperature_C


@pytest.mark.parametrize(
    ("slip", "field", "values"),
    [
        ("mass-unit", "shot_mass_kg", {0.00034, 340.0}),
        ("length-unit", "tube_length_m", {0.0098, 9.8, 0.98 / 2.54, 98.0}),
        ("inversions-halved", "inversions", {25.0}),
        ("inversions-doubled", "inversions", {100.0}),
        ("temperatures-swapped", "end_temperature_C", {19.4}),
        ("fahrenheit", "start_temperature_C", {66.9}),
        ("fahrenheit", "end_temperature_C", {71.8}),
        ("warming-as-end-temperature", "end_temperature_C", {2.7}),
        ("end-allowance-forgotten", "end_allowance_m", {0.0}),
    ],
)
def test_each_slip_changes_its_own_field(slip: str, field: str, values: set[float]) -> None:
    generator = rng()
    seen = {round(getattr(with_slip(generator, RUN, slip), field), 9) for _ in range(60)}
    assert seen == {round(value, 9) for value in values}


def test_swapped_digits_change_one_number_to_one_with_the_same_digits() -> None:
    generator = rng()
    for _ in range(60):
        slipped = with_slip(generator, RUN, "digits-swapped")
        changed = [name for name in vars(RUN) if getattr(RUN, name) != getattr(slipped, name)]
        assert len(changed) == 1
        before, after = (f"{getattr(run, changed[0]):.1f}" for run in (RUN, slipped))
        assert sorted(before.replace(".", "")) == sorted(after.replace(".", "").zfill(len(before) - 1))


def test_there_are_the_nine_slips_of_the_run_table_and_no_tenth() -> None:
    assert len(SLIPS) == 9
    with pytest.raises(KeyError):
        with_slip(rng(), RUN, "no-such-slip")


def test_however_clumsy_no_run_takes_energy_out_of_the_shot() -> None:
    clumsy = replace(EXACT, benches=even_class(40), technique_sd_run=1.0)
    energies = [run.true_specific_energy_J_per_kg for run in simulate_class(rng(), clumsy)]
    assert min(energies) == 0.0
    assert sum(energy == 0.0 for energy in energies) == pytest.approx(120 * 0.159, abs=12)  # P(z < −1)


def test_starts_scatter_about_the_planned_start_and_readings_about_the_true_temperature() -> None:
    bench = replace(EXACT.benches[0], start_temperature_C=17.0)
    many = replace(EXACT, benches=(replace(bench, runs=900),), start_spread_K=0.5)
    starts = np.array([run.recorded.start_temperature_C for run in simulate_class(rng(), many)])
    assert (starts.mean(), starts.std()) == pytest.approx((17.0, 0.5), abs=0.05)
    read = replace(EXACT, benches=(replace(bench, runs=900),), reading_sd_K=0.2)
    starts = np.array([run.recorded.start_temperature_C for run in simulate_class(rng(), read)])
    assert (starts.mean(), starts.std()) == pytest.approx((17.0, 0.2), abs=0.02)


def test_tubes_are_measured_to_the_millimetre_and_shot_to_the_gram() -> None:
    benches = even_class(300, 1, masses_kg=(0.2404,))
    made = simulate_class(rng(), replace(EXACT, benches=benches, length_sd_m=0.004, balance_step_kg=0.001))
    lengths = np.array([run.recorded.tube_length_m for run in made])
    assert (lengths.mean(), lengths.std()) == pytest.approx((1.0, 0.004), abs=0.001)
    assert set(np.round(lengths, 3)) == set(lengths)
    assert {run.recorded.shot_mass_kg for run in made} == {0.24}
    (exact,) = simulate_class(rng(), replace(EXACT, benches=even_class(1, 1, (0.2404,)), balance_step_kg=0))
    assert exact.recorded.shot_mass_kg == 0.2404


def test_the_room_is_read_unless_the_class_does_not_give_it() -> None:
    assert simulate_class(rng(), EXACT)[0].recorded.room_temperature_C == 21.0
    without = replace(EXACT, gives_room_temperature=False)
    assert simulate_class(rng(), without)[0].recorded.room_temperature_C is None


def test_one_turn_in_one_run_is_a_class_too() -> None:
    one = SimulatedBench("1", inversions=1, runs=1, end_allowance_m=0.0)
    (run,) = simulate_class(rng(), replace(EXACT, benches=(one,)))
    assert run.true_specific_energy_J_per_kg == pytest.approx(specific_fall_energy(1.0, 1))


@pytest.mark.parametrize(
    "impossible",
    [
        replace(EXACT, benches=()),
        replace(EXACT, heat_capacity_J_per_kg_K=0.0),
        replace(EXACT, heat_sink_J_per_K=-0.1),
        replace(EXACT, benches=(SimulatedBench("1", shot_mass_kg=0.0),)),
        replace(EXACT, benches=(SimulatedBench("1", inversions=0),)),
        replace(EXACT, benches=(SimulatedBench("1", runs=0),)),
        replace(EXACT, benches=(SimulatedBench("1", end_allowance_m=-0.01),)),
        replace(EXACT, benches=(SimulatedBench("1", tube_length_m=0.05, end_allowance_m=0.05),)),
    ],
)
def test_an_impossible_class_is_an_error(impossible: SimulatedPractical) -> None:
    with pytest.raises(ValueError):
        simulate_class(rng(), impossible)
