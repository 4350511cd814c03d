"""Which runs and benches are called odd, and how little they move the class."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.fit.class_fit import ClassFit, class_fit
from app.analysis.fit.oddness import oddness
from app.analysis.fit.quantities import specific_heat
from tests.analysis.fit.rooms import ALONE, a_room, fitted, half_widths, main_figures
from tests.simulated_room import Room


@pytest.mark.parametrize("seed", range(4))
def test_a_halved_count_is_found_and_moves_the_class_little(seed: int) -> None:
    runs = a_room(seed)
    slipped = [*runs]
    slipped[7] = replace(runs[7], inversions=runs[7].inversions / 2)
    clean, fit = fitted(runs, ALONE), fitted(slipped, ALONE)
    odd = oddness(fit)
    assert [i for i in range(len(runs)) if odd.is_odd_run(i)] == [7]
    assert not any(odd.is_odd_bench(b) for b in range(12))
    away = (np.array(main_figures(fit)) - main_figures(clean)) / half_widths(clean)
    assert np.abs(away).max() < 0.35


def test_a_bench_that_falls_short_in_all_its_runs_is_an_odd_bench_of_even_runs() -> None:
    runs = [replace(run, inversions=run.inversions * 1.35) if run.bench == "5" else run for run in a_room(2)]
    odd = oddness(fitted(runs, ALONE))
    assert [b for b in range(12) if odd.is_odd_bench(b)] == [4]
    assert not any(odd.is_odd_run(i) for i in range(36))


def test_a_mass_in_the_wrong_unit_does_not_decide_the_class() -> None:
    runs = a_room(4)
    wrong = [replace(run, shot_mass_kg=run.shot_mass_kg / 1000) if run.bench == "3" else run for run in runs]
    clean, fit = fitted(runs, ALONE), fitted(wrong, ALONE)
    away = (np.array(main_figures(fit)) - main_figures(clean)) / half_widths(clean)
    assert np.abs(away).max() < 1.0
    assert all(oddness(fit).is_odd_run(i) for i in (6, 7, 8))


def test_with_one_run_a_bench_the_run_is_the_odd_one() -> None:
    runs = a_room(3, Room(runs=1))
    runs[5] = replace(runs[5], inversions=2 * runs[5].inversions)
    odd = oddness(fitted(runs, ALONE))
    assert [i for i in range(12) if odd.is_odd_run(i)] == [5]
    assert not any(odd.is_odd_bench(b) for b in range(12))


def test_a_bench_of_six_runs_with_three_slips_still_stands() -> None:
    """More slips, all different, than the cases list two by two: the oddest together are a case too."""
    runs = a_room(8, Room(benches=6, runs=6))
    off = {"1": 3.0, "3": -5.0, "5": 7.0}
    slipped = [
        replace(run, end_temperature_C=run.end_temperature_C + off[run.run])
        if run.bench == "2" and run.run in off
        else run
        for run in runs
    ]
    clean, fit = fitted(runs, ALONE), fitted(slipped, ALONE)
    odd = oddness(fit)
    assert [run.run for i, run in enumerate(slipped) if odd.is_odd_run(i)] == sorted(off)
    away = (np.array(main_figures(fit)) - main_figures(clean)) / half_widths(clean)
    assert np.abs(away[[0, 3, 6]]).max() < 0.3


def test_in_a_long_bench_the_slip_is_found_wherever_it_stands() -> None:
    """Only the eight oddest runs of a bench are taken two by two, so the slip must be among them."""
    runs = a_room(4, Room(benches=3, runs=12))
    slips = [9, 22, 35]
    slipped = [
        replace(run, inversions=2 * run.inversions) if i in slips else run for i, run in enumerate(runs)
    ]
    odd = oddness(fitted(slipped, ALONE))
    assert [i for i in range(36) if odd.is_odd_run(i)] == slips


def test_runs_without_warming_are_in_the_fit() -> None:
    """A class with a thermometer of 1 K: runs that show nothing, or less, are readings like the others."""
    runs = a_room(9, Room(fewest_inversions=5, most_inversions=25))
    coarse = replace(ALONE, thermometer_step_K=1.0)
    rounded = [
        replace(run, start_temperature_C=float(round(run.start_temperature_C)),
                end_temperature_C=float(round(run.end_temperature_C)))
        for run in runs
    ]  # fmt: skip
    assert sum(run.end_temperature_C <= run.start_temperature_C for run in rounded) >= 5
    fit = fitted(rounded, coarse)
    assert fit.runs == 36
    low, high = fit.draws.interval_95(specific_heat(fit))
    assert low < 129.0 < high


@pytest.mark.parametrize("benches", [1, 2, 3, 32])
@pytest.mark.parametrize("runs", [1, 6])
def test_from_one_run_to_thirty_two_benches_of_six(benches: int, runs: int) -> None:
    fit = fitted(a_room(1, Room(benches=benches, runs=runs)))
    assert (fit.benches, fit.runs) == (benches, benches * runs)
    assert np.isfinite(main_figures(fit)).all()
    assert isinstance(class_fit(fit.columns.runs, fit.settings), ClassFit)
