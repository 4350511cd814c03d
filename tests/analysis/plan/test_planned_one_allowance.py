"""The planner's warning of one end allowance for masses that differ."""

from __future__ import annotations

import re

import pytest

from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import BenchPlan, predict


def _warned(
    masses_kg: tuple[float, ...], allowances_m: tuple[float, ...], depth_measured: bool = False
) -> str:
    tubes = tuple(Tube(length_m=1.0, end_allowance_m=one) for one in allowances_m)
    kit = Kit(tubes, heat_capacity_J_per_kg_K=128.0, depth_measured=depth_measured)
    plans = [
        BenchPlan(str(place), tube, 0.1, mass_kg, 50, 2)
        for place, (tube, mass_kg) in enumerate(zip(tubes, masses_kg, strict=True), start=1)
    ]
    found = predict(kit, plans).one_allowance
    return "" if found is None else str(found.warning)


def test_it_says_how_far_too_high_the_line_through_light_and_heavy_shot_comes_out() -> None:
    """By hand, for lead of 11.34 g/cm³ (CRC Handbook) packed to 0.6 (from memory), c 128, C 20 J/K.

    Depths in 50 mm: 1.80 and 6.59 cm of a fall of 95 cm, so c* is 211.3 · 1.0193 and 150.7 · 1.0745; the line
    through both meets 1/m = 0 at 141.9, 11 % above 128. In 30 mm: 4.99 and 18.30 cm, 173.1, 35 %.
    """
    said = _warned((0.24, 0.24, 0.88, 0.88), (0.05,) * 4)
    assert "(5.0 cm) for 240 to 880 g" in said
    assert [int(found) for found in re.findall(r"(\d+) %", said)] == [
        pytest.approx(11, abs=1),
        pytest.approx(35, abs=1),
    ]


def test_one_mass_and_allowances_of_their_own_are_not_warned_about() -> None:
    assert _warned((0.5,) * 4, (0.05,) * 4) == ""
    assert _warned((0.24, 0.24, 0.88, 0.88), (0.07, 0.068, 0.116, 0.118)) == ""
    assert _warned((0.24, 0.24, 0.88, 0.88), (0.05,) * 4, depth_measured=True) == ""
