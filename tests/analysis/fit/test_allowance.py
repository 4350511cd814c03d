"""One end allowance for all masses: the warning, its figures, and its line of the budget."""

from __future__ import annotations

from dataclasses import replace
from statistics import median
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit.allowance import one_allowance
from app.analysis.fit.at_medians import AtMedians
from app.analysis.fit.budget import END_ALLOWANCE, class_budget
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.linear import Linear
from app.analysis.fit.quantities import class_apparent, specific_heat
from app.analysis.readings import RunReadings
from tests.analysis.fit.rooms import ALONE, LEAD, a_room, fitted
from tests.simulated_room import Room

CAPS_M = 0.05


def of_bore(bore_m: float, seed: int, one_allowance_m: float | None) -> ClassFit:
    """The same class, the settled depths measured to nothing or left out by all."""
    room = Room(bore_m=bore_m, depth_sd_m=0.0, caps_m=CAPS_M, one_allowance_m=one_allowance_m)
    return fitted(a_room(seed, room), ALONE)


@pytest.mark.parametrize("of_specific_heat", [True, False])
def test_the_warning_says_how_far_off_simulated_classes_are(of_specific_heat: bool) -> None:
    """The same classes with the depths measured, fall by fall in the simulator, for both bores."""
    quantity = specific_heat if of_specific_heat else class_apparent
    for bore_m, name in ((0.05, "in_wide_bores"), (0.03, "in_narrow_bores")):
        ratios, said = [], []
        for seed in range(3):
            measured, left_out = of_bore(bore_m, seed, None), of_bore(bore_m, seed, CAPS_M)
            right, wrong = (fit.draws.median(quantity(fit)) for fit in (measured, left_out))
            ratios.append(wrong / right - 1.0)
            found = one_allowance(left_out, of_specific_heat)
            assert found is not None
            said.append(getattr(found, name))
        assert median(said) == pytest.approx(median(ratios), rel=0.25)


def test_the_sentence_has_the_masses_and_what_to_do() -> None:
    found = one_allowance(of_bore(0.04, 1, CAPS_M), of_specific_heat=True)
    assert found is not None
    assert found.in_wide_bores < found.in_narrow_bores
    shares = {"wide": found.in_wide_bores, "narrow": found.in_narrow_bores}
    assert {name: found.warning.values[name] for name in shares} == {
        name: f"{100 * share:.0f}" for name, share in shares.items()
    }
    for words in ("(5.0 cm)", "g of shot", "too high", "Measure how deep each bench's shot lies"):
        assert words in str(found.warning)


@pytest.mark.parametrize(("middle", "left"), [(200.0, None), (10.0, 2.0)])
def test_what_is_too_high_is_said_of_the_figure_without_it_by_hand(middle: float, left: float | None) -> None:
    """Shot of 11.34 g/cm³ (CRC Handbook) packed to 0.6 (from memory) lies m/(0.6·ρ·π·d²/4) deep, taken from a
    fall of 95 cm up to half of it. A fifth of the figure is left at least: our own choice. The last bench has
    an allowance of its own."""
    runs = [
        RunReadings(str(i), "1", mass, 1.0, 0.05, 50.0, 20.0, 22.0) for i, mass in enumerate((0.25, 0.5, 9.0))
    ]
    runs.append(RunReadings("own", "1", 0.7, 1.0, 0.2, 50.0, 20.0, 22.0))
    plan: Any = SimpleNamespace(bench=np.array([0, 1, 1, 2, 3]), weight=np.array([0.9, 0.6, 0.6, 0.51, 0.9]))
    pull = np.array([-60.0, 90.0, 20.0, 40.0])
    fit: Any = SimpleNamespace(columns=columns(runs, ALONE), settings=ALONE)
    answer = Linear(pull, {})
    found = one_allowance(fit, True, AtMedians(middle, 1.0, plan, np.arange(4), answer))
    assert found is not None
    shifts = []
    for bore_m in (0.05, 0.03):
        depth_m = np.array([0.25, 0.5, 9.0]) / (0.6 * 11340 * np.pi * bore_m**2 / 4)
        shifts.append(float(pull[:3] @ np.minimum(depth_m / 0.95, 0.5)))
    wide, narrow = (shift / (left or middle - shift) for shift in shifts)
    assert (found.in_wide_bores, found.in_narrow_bores) == pytest.approx((wide, narrow), rel=1e-4)
    assert found.standard_uncertainty_J_per_kg_K == pytest.approx(shifts[1] / 3**0.5, rel=1e-4)
    said = {"wide": f"{100 * wide:.0f}", "narrow": f"{100 * narrow:.0f}"}
    assert found.warning.values == {"length": "5.0", "low": "250", "high": "9000", **said}
    plan.weight = np.array([0.5, 0.5, 0.5, 0.4, 0.5])
    assert one_allowance(fit, True, AtMedians(middle, 1.0, plan, np.arange(4), answer)) is None, "all odd"
    plan.weight = np.array([0.9, 0.3, 0.3, 0.5, 0.5])
    assert one_allowance(fit, True, AtMedians(middle, 1.0, plan, np.arange(4), answer)) is None, (
        "one mass left"
    )


def test_in_tubes_twice_as_long_the_same_depth_does_half_as_much() -> None:
    """A depth d takes d/h off a fall h. Half as many turns give every run the same energy."""
    runs = a_room(1, Room(bore_m=0.04, depth_sd_m=0.0, caps_m=CAPS_M, one_allowance_m=CAPS_M))
    long = [
        replace(run, tube_length_m=2 * run.tube_length_m - run.end_allowance_m, inversions=run.inversions / 2)
        for run in runs
    ]
    shares = []
    for tubes in (runs, long):
        found = one_allowance(fitted(tubes, ALONE), of_specific_heat=False)
        assert found is not None
        shares.append(found.in_wide_bores / (1.0 + found.in_wide_bores))
    assert shares[1] == pytest.approx(shares[0] / 2, rel=0.05)


def test_depths_of_their_own_one_mass_and_a_chance_agreement_are_not_warned_about() -> None:
    assert one_allowance(of_bore(0.04, 1, None), of_specific_heat=True) is None
    one_mass = fitted(a_room(1, Room(masses_kg=(0.5,), one_allowance_m=CAPS_M)))
    assert one_allowance(one_mass, of_specific_heat=False) is None
    runs = sorted(a_room(1, Room(bore_m=0.04)), key=lambda run: run.end_allowance_m)
    middle = {run.bench for run in runs[6:30]}
    assert len(middle) == 8, "two thirds of them"
    alike = [replace(run, end_allowance_m=0.1) if run.bench in middle else run for run in runs]
    assert one_allowance(fitted(alike), of_specific_heat=True) is None


def test_a_bench_that_measured_its_depth_does_not_hide_the_others() -> None:
    """With two masses, the fewest that one allowance can be wrong for."""
    runs = a_room(1, Room(bore_m=0.04, one_allowance_m=CAPS_M, masses_kg=(0.24, 0.88)))
    one_measured = [replace(run, end_allowance_m=0.09) if run.bench == "1" else run for run in runs]
    assert one_allowance(fitted(one_measured), of_specific_heat=True) is not None


def test_its_line_leads_the_budget_and_no_line_is_there_without_it() -> None:
    for of_specific_heat in (True, False):
        lines = class_budget(of_bore(0.04, 1, CAPS_M), of_specific_heat)
        assert lines[0].source == END_ALLOWANCE
        assert "Measure how deep" in str(lines[0].advice)
        others = class_budget(of_bore(0.04, 1, None), of_specific_heat)
        assert END_ALLOWANCE not in {line.source for line in others}


def test_a_room_temperature_that_nobody_read_is_a_line_with_its_own_advice() -> None:
    runs = [replace(run, room_temperature_C=None) for run in a_room(1)]
    unread = {line.source: line for line in class_budget(fitted(runs), of_specific_heat=False)}
    read = {line.source: line for line in class_budget(fitted(a_room(1)), of_specific_heat=False)}
    assert "Read the room temperature once" in str(unread["room"].advice)
    assert "half the expected warming" in str(read["room"].advice)
    assert unread["room"].standard_uncertainty_J_per_kg_K > 5 * read["room"].standard_uncertainty_J_per_kg_K
    # A leak of 0.1 J/K in each inversion, 2 K from the room: λ·N·θ/m of the fall energy, and the class value
    # by as much.
    lost = [
        0.1 * 2.0 / (run.shot_mass_kg * 9.80665 * (run.tube_length_m - run.end_allowance_m)) for run in runs
    ]
    fit = fitted(runs, LEAD)
    expected = fit.draws.median(class_apparent(fit)) * sum(lost) / len(lost)
    assert unread["room"].standard_uncertainty_J_per_kg_K == pytest.approx(expected, rel=0.15)
