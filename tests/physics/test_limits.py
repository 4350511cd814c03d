"""Bounds are declared once; everything that refuses, flags or stores keeps to the same number."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import CheckConstraint

from app.analysis.analyse import analyse_class
from app.analysis.impossible import POSSIBLE
from app.analysis.kit import ImpossiblePlan, Kit, Tube, check_kit
from app.physics import limits
from app.physics.readings import (
    ReadingProblem,
    parse_accepted_heat_capacity,
    parse_count,
    parse_gravity,
    parse_heat_capacity,
)
from app.practicals.entry import ImpossibleReading, check_entry
from app.practicals.plan import PlanProblem, check_plan
from app.practicals.shapes import BenchPlanLine, Typed
from app.records.base import Base
from tests.analysis.classes import LEAD, perfect_runs
from tests.practicals.a_class import a_plan, an_entry

MOST = limits.MOST_INVERSIONS


def test_every_door_lets_the_same_most_inversions_through_and_no_more() -> None:
    assert parse_count(str(MOST)).value == MOST
    with pytest.raises(ReadingProblem, match="more than a lesson has time for"):
        parse_count(str(MOST + 1))
    check_kit(Kit((Tube(1.0),), most_inversions=MOST))
    with pytest.raises(ImpossiblePlan):
        check_kit(Kit((Tube(1.0),), most_inversions=MOST + 1))
    check_plan(a_plan(inversions=MOST, bench_plans=(BenchPlanLine(1, inversions=MOST),)))
    with pytest.raises(PlanProblem, match=f"{MOST}"):
        check_plan(a_plan(inversions=MOST + 1))
    with pytest.raises(PlanProblem):
        check_plan(a_plan(bench_plans=(BenchPlanLine(1, inversions=MOST + 1),)))
    check_entry(an_entry(inversions=Typed(str(MOST), Decimal(MOST), "")))
    with pytest.raises(ImpossibleReading):
        check_entry(an_entry(inversions=Typed(str(MOST + 1), Decimal(MOST + 1), "")))


def test_the_analysis_calls_the_same_counts_impossible() -> None:
    for count, impossible in ((MOST, False), (MOST + 1, True)):
        runs = perfect_runs()
        runs[4] = replace(runs[4], inversions=float(count))
        rules = {flag.rule for flag in analyse_class(runs, LEAD).runs[4].flags}
        assert ("inversions-impossible" in rules) is impossible, count
    assert (1.0, float(MOST)) in POSSIBLE


def test_the_database_keeps_to_the_same_counts() -> None:
    stored = {
        table.name: re.findall(r"inversions BETWEEN 1 AND (\d+)", str(constraint.sqltext))
        for table in Base.metadata.tables.values()
        for constraint in table.constraints
        if isinstance(constraint, CheckConstraint) and str(constraint.name).endswith("inversions_possible")
    }
    assert stored == {name: [str(MOST)] for name in ("practical", "bench_plan", "run_version")}


def test_the_counter_on_the_phone_keeps_to_the_same_counts() -> None:
    script = Path(__file__).parents[2].joinpath("static/js/bench-count.js").read_text(encoding="utf-8")
    assert re.findall(r"read\.count <=? ?(\w+)", script) == ["most"], "it comes from the page"


@pytest.mark.parametrize("typed", ["9.76", "9,84", "9.81 m/s²", "9.81 m/s2", "9.81 m/s^2", "9.81 N/kg"])
def test_g_is_read_with_any_of_its_units(typed: str) -> None:
    assert Decimal("9.76") <= parse_gravity(typed) <= Decimal("9.84")


def test_g_is_read_as_it_is_printed_in_tables() -> None:
    for typed in ("9.81 m s⁻²", "9.81 m·s⁻²", "9.81 m s^-2", "9.81 m s-2", "9.81m/s²", "9.81 N kg⁻¹"):
        assert parse_gravity(typed) == Decimal("9.81"), typed


def test_g_has_one_pair_of_bounds_and_says_those() -> None:
    """Hirt et al., Geophys. Res. Lett. 40 (2013) 4279: 9.7639 m/s² (Huascarán) to 9.8337 m/s² (Arctic Ocean),
    the least and the greatest g at the Earth's surface; from memory."""
    assert Decimal("9.7639") >= limits.LEAST_GRAVITY_M_PER_S2
    assert Decimal("9.8337") <= limits.MOST_GRAVITY_M_PER_S2
    for typed in ("9.7", "9.759", "9.841", "9.9", "10", "-9.81", "981 cm/s²", "9.81 kg"):
        with pytest.raises(ReadingProblem, match=r"between 9\.76 and 9\.84 m/s²"):
            parse_gravity(typed)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("128", "128"),
        ("0.128 kJ/(kg·K)", "128"),
        ("0,128 kJ/kg/K", "128"),
        ("0.128 J/(g·K)", "128"),
        ("128 J kg⁻¹ K⁻¹", "128"),
        ("128 J·kg⁻¹·K⁻¹", "128"),
        ("128 J kg^-1 K^-1", "128"),
        ("0.128 J g⁻¹ °C⁻¹", "128"),
        ("128 J/(kg °C)", "128"),
    ],
)
def test_a_bench_and_the_plan_read_a_specific_heat_capacity_alike(typed: str, value: str) -> None:
    assert parse_heat_capacity(typed).value == Decimal(value)
    assert parse_accepted_heat_capacity(typed) == Decimal(value)


def test_what_is_wrong_with_an_accepted_value_is_said_of_the_right_thing() -> None:
    with pytest.raises(ReadingProblem, match=r"unit “cal/\(g·K\)” does not fit"):
        parse_accepted_heat_capacity("0.031 cal/(g·K)")
    for typed in ("0", "9.9", "-128", "128 kJ/(kg·K)"):
        with pytest.raises(ReadingProblem, match="An accepted value lies between 10 and 10000"):
            parse_accepted_heat_capacity(typed)
