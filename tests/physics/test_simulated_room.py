"""The simulated room keeps the energy balance, and each of its troubles does what its name says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tests.simulated_room import Room, RoomRun, simulate_room

QUIET = Room(
    mass_spread=0.0,
    sink_spread=0.0,
    start_spread_K=0.0,
    technique_sd_bench=0.0,
    technique_sd_run=0.0,
    thermometer_steps_K=(0.0001,),
    reading_sd_K=0.0,
    length_sd_m=0.0,
    depth_sd_m=0.0,
)


def quiet(seed: int = 1, **changes: object) -> list[RoomRun]:
    return simulate_room(np.random.default_rng(seed), replace(QUIET, **changes))  # type: ignore[arg-type]


def warming(run: RoomRun) -> float:
    return run.recorded.end_temperature_C - run.recorded.start_temperature_C


def test_without_any_trouble_the_energy_goes_into_shot_and_sink() -> None:
    """m·e = (m·c + C)·w: the two shares add up to one, and the readings say the same."""
    for run in quiet():
        r = run.recorded
        assert run.shot_share + run.sink_share == pytest.approx(1.0, abs=1e-9)
        energy = r.shot_mass_kg * 9.80665 * (r.tube_length_m - r.end_allowance_m) * r.inversions
        assert energy == pytest.approx((r.shot_mass_kg * 129.0 + 45.0) * warming(run), rel=1e-3)


def test_a_tube_warmer_than_the_room_loses_heat_and_a_colder_one_gains_it() -> None:
    for start, sign in ((5.0, 1), (-15.0, -1)):
        for run in quiet(leak_J_per_K_per_inversion=0.1, start_above_room_K=start):
            assert sign * (1.0 - run.shot_share - run.sink_share) > 0.0


def test_the_tube_tends_to_where_each_fall_loses_what_it_gives() -> None:
    """Newton's law of cooling, summed: θ_N = θ_0·a^N + (q/λ)·(1 − a^N) with a = 1 − λ/(m·c + C)."""
    leak = 0.5
    for start_K in (-4.0, 5.0):
        for run in quiet(leak_J_per_K_per_inversion=leak, start_above_room_K=start_K):
            r = run.recorded
            fall_J = r.shot_mass_kg * 9.80665 * (r.tube_length_m - r.end_allowance_m)
            kept = (1.0 - leak / (r.shot_mass_kg * 129.0 + 45.0)) ** r.inversions
            above = start_K * kept + fall_J / leak * (1.0 - kept)
            assert r.end_temperature_C - 21.0 == pytest.approx(above, abs=0.01)


def test_benches_and_their_runs_are_numbered_from_one() -> None:
    made = quiet(benches=2, runs=2)
    assert [(run.recorded.bench, run.recorded.run) for run in made] == [
        ("1", "1"),
        ("1", "2"),
        ("2", "1"),
        ("2", "2"),
    ]


def test_each_bench_starts_half_its_warming_below_the_room() -> None:
    for run in quiet(same_count=True):
        assert 21.0 - run.recorded.start_temperature_C == pytest.approx(warming(run) / 2, abs=2e-4)


def test_everybody_short_of_the_full_fall() -> None:
    for run in quiet(common_technique=0.95):
        assert run.shot_share + run.sink_share == pytest.approx(0.95, abs=1e-6)


def test_thermometers_that_read_two_percent_high() -> None:
    for straight, high in zip(quiet(), quiet(thermometer_scale=1.02), strict=True):
        assert warming(high) == pytest.approx(1.02 * warming(straight), abs=3e-4)


def test_one_bench_falls_short_and_another_weighs_its_cup() -> None:
    made = quiet(short_bench=0.2, cup_kg=0.15)
    short = {run.recorded.bench for run in made if run.shot_share + run.sink_share < 0.9}
    with_cup = {run.recorded.bench for run in made if run.recorded.shot_mass_kg - run.true_mass_kg > 0.1}
    assert (len(short), len(with_cup)) == (1, 1)
    assert short != with_cup


def test_more_shot_lies_deeper_and_one_allowance_for_all_hides_it() -> None:
    """0.88 kg of lead in a bore of 40 mm lies 10 cm deep, m/(0.6·ρ·π·d²/4), beside caps of 5 cm."""
    measured = {run.recorded.end_allowance_m for run in quiet(bore_m=0.04)}
    assert len(measured) == 4
    assert max(measured) == pytest.approx(0.05 + 0.1029, abs=1e-3)
    hidden = quiet(bore_m=0.04, one_allowance_m=0.05)
    assert {run.recorded.end_allowance_m for run in hidden} == {0.05}
    for run in hidden:
        assert run.shot_share + run.sink_share < 0.98


def test_steps_are_dealt_out_in_turn() -> None:
    for run in quiet(thermometer_steps_K=(0.1, 0.5)):
        step = 0.1 if int(run.recorded.bench) % 2 else 0.5
        assert run.recorded.end_temperature_C / step == pytest.approx(
            round(run.recorded.end_temperature_C / step), abs=1e-6
        )


def test_miscounts_are_of_one_or_two() -> None:
    straight, wrong = quiet(), quiet(miscounted_share=1.0)
    off = {b.recorded.inversions - a.recorded.inversions for a, b in zip(straight, wrong, strict=True)}
    assert off == {-2.0, -1.0, 1.0, 2.0}


def test_as_many_slips_as_asked_for_and_each_changes_its_run() -> None:
    straight, slipped = quiet(), quiet(slips=4)
    changed = [a.recorded != b.recorded for a, b in zip(straight, slipped, strict=True)]
    assert changed == [run.slip is not None for run in slipped]
    assert sum(changed) == 4


def test_heavy_tails_have_the_same_spread_and_more_outliers() -> None:
    def technique(heavy_tails: bool) -> np.ndarray:
        made = quiet(benches=400, runs=1, technique_sd_bench=0.02, heavy_tails=heavy_tails)
        return np.array([run.shot_share + run.sink_share - 1.0 for run in made])

    even, heavy = technique(False), technique(True)
    assert even.std() == pytest.approx(0.02, rel=0.15)
    # Half of |t| lies below t's upper quartile.
    assert np.median(np.abs(heavy)) == pytest.approx(0.02 * stats.t.ppf(0.75, 3) / 3**0.5, rel=0.15)
    assert np.abs(heavy).max() > 1.5 * np.abs(even).max()


def test_the_same_generator_gives_the_same_class() -> None:
    assert quiet(5, slips=2) == quiet(5, slips=2)


@pytest.mark.parametrize("room", [Room(benches=0), Room(runs=0), Room(masses_kg=())])
def test_a_room_that_cannot_be_is_refused(room: Room) -> None:
    with pytest.raises(ValueError, match="benches, runs and masses"):
        simulate_room(np.random.default_rng(1), room)


def counts_of(made: list[RoomRun]) -> list[set[float]]:
    benches: dict[str, set[float]] = {}
    for run in made:
        benches.setdefault(run.recorded.bench, set()).add(run.recorded.inversions)
    return list(benches.values())


def test_counts_are_free_or_the_bench_s_or_the_class_s() -> None:
    assert max(map(len, counts_of(quiet()))) == 3
    of_benches = counts_of(quiet(bench_counts=True))
    assert {len(counts) for counts in of_benches} == {1}
    assert len(set.union(*of_benches)) > 6
    assert len(set.union(*counts_of(quiet(same_count=True)))) == 1


def test_a_bench_with_a_plan_knows_its_mass_tube_and_count() -> None:
    assert {run.plan for run in quiet()} == {None}
    for run in quiet(bench_counts=True, with_plan=True):
        r = run.recorded
        assert run.plan == (r.shot_mass_kg, r.tube_length_m, r.inversions)


def test_a_slip_is_one_of_those_asked_for_and_the_run_as_read_is_kept() -> None:
    straight, slipped = quiet(), quiet(slips=3, slip_kinds=("fahrenheit",))
    assert [run.as_read for run in slipped] == [run.recorded for run in straight]
    for run in slipped:
        assert (run.slip == "fahrenheit") == (run.recorded != run.as_read)
        if run.slip is not None:
            expected = run.as_read.end_temperature_C * 9 / 5 + 32
            assert run.recorded.end_temperature_C == pytest.approx(expected, abs=0.051)


def test_the_benches_that_are_apart_are_known() -> None:
    apart = {run.recorded.bench for run in quiet(short_bench=0.2, cup_kg=0.15) if run.bench_apart}
    assert len(apart) == 2
    assert not any(run.bench_apart for run in quiet())


def test_masses_are_typed_to_the_gram_and_lengths_to_the_millimetre() -> None:
    made = quiet(benches=40, runs=1, mass_spread=0.02, length_sd_m=0.002, bore_m=0.04, depth_sd_m=0.002)
    for run in made:
        r = run.recorded
        for number in (r.shot_mass_kg, r.tube_length_m, r.end_allowance_m):
            assert number == round(number, 3)
        assert r.shot_mass_kg == pytest.approx(run.true_mass_kg, abs=0.0005)
    assert np.std([run.recorded.tube_length_m for run in made]) == pytest.approx(0.002, rel=0.3)


def test_a_count_is_never_below_five_and_a_technique_never_below_nothing() -> None:
    made = quiet(fewest_inversions=5, most_inversions=5, miscounted_share=1.0)
    assert {run.recorded.inversions for run in made} == {5.0, 6.0, 7.0}
    assert min(run.shot_share for run in quiet(technique_sd_run=3.0)) == 0.0


def test_an_end_temperature_slips_by_one_and_a_half_to_four_kelvins_either_way() -> None:
    made = quiet(benches=40, slips=120, slip_kinds=("end-temperature",))
    off = np.array([run.recorded.end_temperature_C - run.as_read.end_temperature_C for run in made])
    assert (off > 0).mean() == pytest.approx(0.5, abs=0.15)
    assert (np.abs(off).min(), np.abs(off).max()) == pytest.approx((1.5, 4.0), abs=0.11)


def test_tubes_and_the_counts_of_a_benchs_runs_are_as_given() -> None:
    """By hand: 0.45 kg of lead in a bore of 50 mm lies 0.45 · 7.485 cm deep, beside caps of 5 cm."""
    made = quiet(tubes=((1.0, 0.04), (0.8, 0.05)), run_counts=(100, 50, 100))
    assert [run.recorded.inversions for run in made[:6]] == [100, 50, 100, 100, 50, 100]
    assert {run.recorded.tube_length_m for run in made} == {1.0, 0.8}
    assert made[3].recorded.end_allowance_m == pytest.approx(0.05 + 0.0337, abs=1e-3)
    with pytest.raises(ValueError, match="one count for each run"):
        quiet(run_counts=(100, 50))
