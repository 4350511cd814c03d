"""The masses that a proposal deals out, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy import stats

from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.kit_limits import MassLimits, mass_limits
from app.analysis.plan.masses import candidates, even_masses, same_mass
from app.analysis.plan.width import student_over_normal

UNKNOWN = Kit((Tube(1.0),) * 8)
"""Of tubes whose bore nobody knows: from 0.2 to 1.2 kg."""


def test_four_even_steps_are_dealt_in_turn_in_whole_tens_of_grams() -> None:
    """Thirds of the way from 0.2 to 1.2 kg are 533 and 867 g."""
    limits = mass_limits(UNKNOWN)
    assert even_masses(UNKNOWN, limits) == [0.2, 0.53, 0.86, 1.2] * 2
    assert even_masses(replace(UNKNOWN, shot_available_kg=5.58), limits) == [0.2, 0.53, 0.86, 1.2] * 2
    assert even_masses(replace(UNKNOWN, shot_available_kg=5.57), limits) is None
    four, three = (replace(UNKNOWN, tubes=(Tube(1.0),) * benches) for benches in (4, 3))
    assert even_masses(four, mass_limits(four)) == [0.2, 0.53, 0.86, 1.2]
    assert even_masses(three, mass_limits(three)) is None


def test_everybody_gets_the_heaviest_mass_that_all_can_have() -> None:
    limits = MassLimits(((0.2, 1.2), (0.2, 0.859)))
    kit = replace(UNKNOWN, tubes=(Tube(1.0),) * 2)
    assert same_mass(kit, limits) == [0.85, 0.85]
    assert same_mass(replace(kit, shot_available_kg=1.3), limits) == [0.65, 0.65]
    assert same_mass(replace(kit, shot_available_kg=9.0), limits) == [0.85, 0.85]


def test_all_splits_of_light_and_heavy_are_tried_with_two_or_three_in_the_middle() -> None:
    """Heavy shot of 1.2 kg and 85, 70 and 55 % of it, light shot of 0.2 kg and up to three quarters more."""
    kit = replace(UNKNOWN, tubes=(Tube(1.0),) * 6)
    found = list(candidates(kit, mass_limits(kit)))
    assert len(found) == len({(key, *masses) for key, masses in found})
    lights, heavies = (0.2, 0.25, 0.3, 0.35), (1.2, 1.02, 0.84, 0.66)
    splits = {
        (key, heavy, light, masses.count(heavy), masses.count(light))
        for key, masses in found
        for heavy, light in [(max(masses), min(masses))]
    }
    assert splits == {
        (key, heavy, light, n_heavy, n_light)
        for heavy in heavies
        for light in lights
        for key, n_heavy, n_light in (
            ("extremes", 4, 2), ("extremes", 3, 3), ("extremes", 2, 4), ("three", 2, 2)
        )
    }  # fmt: skip
    (middle,) = {
        masses[2] for key, masses in found if key == "three" and max(masses) == 1.2 and min(masses) == 0.2
    }
    assert middle == 0.34, "2/(1/0.2 + 1/1.2) is 0.343"


def test_two_or_three_benches_take_the_middle_mass() -> None:
    kit = replace(UNKNOWN, tubes=(Tube(1.0),) * 8)
    splits = [
        tuple(masses.count(mass) for mass in (1.2, 0.34, 0.2))
        for key, masses in candidates(kit, MassLimits(((0.2, 1.2),) * 8))
        if key == "three" and (max(masses), min(masses)) == (1.2, 0.2)
    ]
    assert sorted(splits) == [(2, 2, 4), (2, 3, 3), (3, 2, 3), (3, 3, 2), (4, 2, 2)]


def test_of_sixteen_benches_every_other_split_is_tried_and_masses_a_fifth_apart_are() -> None:
    kit = replace(UNKNOWN, tubes=(Tube(1.0),) * 16)
    found = [masses for key, masses in candidates(kit, MassLimits(((0.2, 0.24),) * 16)) if key == "extremes"]
    assert {max(masses) for masses in found} == {0.24}
    assert [masses.count(0.2) for masses in found] == [2, 4, 6, 8, 10, 12, 14]


def test_the_heavy_shot_goes_where_most_fits_and_no_further_than_the_stock() -> None:
    """Of 3 kg two benches with 0.2 kg leave 1.3 kg for each of two; of 2 kg 0.8."""
    kit = replace(UNKNOWN, tubes=(Tube(1.0, 0.04), Tube(1.0, 0.06), Tube(1.0, 0.05), Tube(1.0, 0.03)))
    kit = replace(kit, least_mass_kg=0.2, most_mass_kg=0.9, shot_available_kg=2.0)
    (dealt,) = [
        masses
        for key, masses in candidates(kit, MassLimits(((0.2, 0.9),) * 4))
        if key == "extremes" and max(masses) == 0.8 and min(masses) == 0.2
    ]
    assert dealt == [0.2, 0.8, 0.8, 0.2]
    scarce = replace(kit, shot_available_kg=0.86)
    heavies = [max(masses) for _, masses in candidates(scarce, MassLimits(((0.2, 0.9),) * 4))]
    assert heavies == [], "0.23 kg are not a fifth more than 0.2"


@pytest.mark.parametrize(("dof", "taken"), [(10.0, 10.0), (3.0, 3.0), (2.0, 2.5), (0.0, 2.5)])
def test_the_interval_of_a_usual_class_is_student_s_with_the_median_scatter(dof: float, taken: float) -> None:
    """t·√(χ²/dof)/1.96 by scipy.stats; what is known beforehand is worth two and a half benches."""
    expected = stats.t.ppf(0.975, taken) * (stats.chi2.ppf(0.5, taken) / taken) ** 0.5 / stats.norm.ppf(0.975)
    assert student_over_normal(dof) == pytest.approx(expected)
