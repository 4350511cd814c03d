"""Bounds are declared once; everything that refuses, flags or stores keeps to the same number."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import CheckConstraint

from app.analysis.analyse import analyse_class
from app.analysis.doubt.impossible import POSSIBLE
from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube, check_kit
from app.physics import limits
from app.physics.reading.planning import (
    parse_bench_count,
    parse_fall_height,
    parse_heat_sink,
    parse_height,
    parse_latitude,
    parse_minutes,
    parse_run_count,
    parse_shot,
    parse_thermometer_step,
    parse_tips_per_minute,
)
from app.physics.reading.readings import (
    ReadingProblem,
    parse_accepted_heat_capacity,
    parse_count,
    parse_gravity,
    parse_heat_capacity,
)
from app.physics.run import QUANTITIES, Quantity
from app.practicals.benches.rows import BadBenchNumber
from app.practicals.lesson.details import BenchPlanLine, Typed
from app.practicals.lesson.plan import PlanProblem, check_plan
from app.practicals.runs.entry import ImpossibleReading, check_entry
from app.records.base import Base
from app.records.constraints import SENTENCES
from app.records.models.people import MOST_YEARS_KEPT
from app.web.desk.plan.kit import TOO_MANY_TUBES
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
        str(constraint.name): int(most)
        for table in Base.metadata.tables.values()
        for constraint in table.constraints
        if isinstance(constraint, CheckConstraint)
        for most in re.findall(r"BETWEEN 1 AND (\d+)", str(constraint.sqltext))
    }
    assert stored == {
        "ck_practical_inversions_possible": MOST,
        "ck_bench_plan_inversions_possible": MOST,
        "ck_bench_plan_second_inversions_possible": MOST,
        "ck_run_version_inversions_possible": MOST,
        "ck_practical_planned_benches_possible": limits.MOST_BENCHES,
        "ck_bench_number_possible": limits.MOST_BENCHES,
        "ck_bench_plan_number_possible": limits.MOST_BENCHES,
        "ck_bench_kit_number_possible": limits.MOST_BENCHES,
        "ck_first_class_benches_possible": limits.MOST_BENCHES,
        "ck_department_words_kept_years_possible": MOST_YEARS_KEPT,
        "ck_department_runs_kept_years_possible": MOST_YEARS_KEPT,
        "ck_department_year_begins_in_a_month": 12,
        "ck_bench_plan_runs_possible": limits.MOST_RUNS_OF_A_BENCH,
    }
    for name, most in stored.items():
        if name in SENTENCES:
            assert numbers_in(SENTENCES[name]) == [1, most], name


def numbers_in(sentence: object) -> list[Decimal]:
    """The numbers that a sentence names, a gap between thousands closed."""
    plain = re.sub(r"(?<=\d) (?=\d{3})", "", str(sentence)).replace("−", "-")
    return [Decimal(number) for number in re.findall(r"(?<![\w²])-?\d+(?:\.\d+)?", plain)]


def problem_of(read: Callable[[str], object], typed: str) -> str:
    with pytest.raises(ReadingProblem) as found:
        read(typed)
    return str(found.value)


@pytest.mark.parametrize(
    ("read", "within", "step"),
    [
        (parse_latitude, limits.LATITUDE_DEG, "0.1"),
        (parse_height, limits.HEIGHT_M, "1"),
        (parse_thermometer_step, limits.THERMOMETER_STEP_K, "0.0001"),
        (parse_bench_count, limits.BENCHES, "1"),
        (parse_run_count, limits.Range(Decimal(1), Decimal(limits.MOST_RUNS_OF_A_BENCH)), "1"),
        (parse_minutes, limits.LESSON_MIN, "1"),
        (parse_heat_sink, limits.HEAT_SINK_J_PER_K, "1"),
    ],
    ids=lambda given: getattr(given, "__name__", ""),
)
def test_a_field_of_the_plan_says_the_bounds_that_it_keeps_to(
    read: Callable[[str], object], within: limits.Range, step: str
) -> None:
    assert read(f"{within.least}") == within.least
    assert read(f"{within.most}") == within.most
    said = numbers_in(problem_of(read, f"{within.most + Decimal(step)}"))
    assert said[:2] == [within.least, within.most]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"tubes": (Tube(1.0),) * (limits.MOST_TUBES + 1)}, [limits.MOST_TUBES]),
        ({"tubes": (Tube(float(limits.LENGTH_M.refused_outside.most) + 0.1),)}, [1, 10]),
        ({"tubes": (Tube(1.0, float(limits.BORE_M.most) + 0.01),)}, [1, 5, 50]),
        ({"tubes": (Tube(1.0, float(limits.BORE_M.least) - 0.001),)}, [1, 5, 50]),
        ({"tubes": (Tube(1.0),), "room_temperature_C": float(limits.PLANNED_ROOM_C.most) + 1}, [21]),
    ],
)
def test_a_kit_says_the_bounds_that_it_keeps_to(changes: dict[str, Any], said: list[int]) -> None:
    with pytest.raises(ImpossiblePlan) as found:
        check_kit(Kit(**changes))
    assert numbers_in(found.value) == said
    assert (limits.LENGTH_M.refused_outside.most, limits.BORE_M) == (
        10,
        limits.Range(Decimal("0.005"), Decimal("0.5")),
    ), "5 mm, 50 cm and 10 m, as the sentences say"


def test_where_only_the_most_is_said_it_is_the_bound_that_is_kept() -> None:
    tips, falls = limits.TIPS_PER_MINUTE.most, limits.HIGHEST_FALL_M
    assert parse_tips_per_minute(f"{tips}") == tips
    assert numbers_in(problem_of(parse_tips_per_minute, f"{tips + 1}"))[0] == tips
    assert parse_fall_height(f"{falls}") == falls
    assert numbers_in(problem_of(parse_fall_height, f"{falls + 1}")) == [0, falls]
    assert parse_shot(f"{limits.MOST_SHOT_IN_STOCK_KG} kg") == limits.MOST_SHOT_IN_STOCK_KG
    assert "Give all the shot" in problem_of(parse_shot, f"{limits.MOST_SHOT_IN_STOCK_KG + 1} kg")


def test_too_many_benches_and_tubes_are_told_with_the_number_of_benches() -> None:
    assert numbers_in(TOO_MANY_TUBES) == [limits.MOST_BENCHES] * 2
    with pytest.raises(PlanProblem) as found:
        check_plan(a_plan(planned_benches=limits.MOST_BENCHES + 1))
    assert numbers_in(found.value) == [1, limits.MOST_BENCHES]
    with pytest.raises(PlanProblem) as found:
        check_plan(a_plan(bench_plans=(BenchPlanLine(limits.MOST_BENCHES + 1),)))
    assert numbers_in(found.value) == [1, limits.MOST_BENCHES]
    assert numbers_in(BadBenchNumber()) == [1, limits.MOST_BENCHES]
    check_plan(a_plan(bench_plans=(BenchPlanLine(1, runs=limits.MOST_RUNS_OF_A_BENCH),)))
    with pytest.raises(PlanProblem):
        check_plan(a_plan(bench_plans=(BenchPlanLine(1, runs=limits.MOST_RUNS_OF_A_BENCH + 1),)))


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)
def test_what_is_asked_about_lies_inside_what_is_flagged_and_that_inside_what_is_refused(
    quantity: Quantity,
) -> None:
    bounds = quantity.limits
    ranges = (bounds.refused_outside, bounds.flagged_outside, bounds.asked_outside)
    assert sorted(one.least for one in ranges) == [one.least for one in ranges]
    assert sorted(one.most for one in ranges) == [one.most for one in reversed(ranges)]


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)
def test_every_door_of_a_run_refuses_the_same_readings(quantity: Quantity) -> None:
    """Typed on the phone or at the desk, and stored: the least and the most pass, a step beyond does not."""
    bounds = quantity.limits.refused_outside
    unit = SI_UNITS.get(quantity.si_name.rpartition("_")[2], "")
    step = Decimal(1) if quantity.name == "inversions" else Decimal("0.001")
    others = {"tube_length": typed_in("m", Decimal(10))} if quantity.name == "end_allowance" else {}
    for value, refused in (
        (bounds.most, quantity.name == "end_allowance"),  # nothing would be left to fall
        (bounds.most + step, True),
        (bounds.least, quantity.limits.above_least),
        (bounds.least - step, True),
        (bounds.least + step, quantity.name == "tube_length"),  # shorter than its end allowance
    ):
        readings: dict[str, Any] = {**others, quantity.name: typed_in(unit, value)}
        assert refused is is_refused(ImpossibleReading, partial(check_entry, an_entry(**readings))), value
        if quantity.name not in ("end_allowance", "tube_length") or value > bounds.most:
            assert refused is is_refused(ReadingProblem, partial(quantity.read, f"{value} {unit}")), value


SI_UNITS = {"kg": "kg", "m": "m", "C": "°C"}


def typed_in(unit: str, value: Decimal) -> Typed:
    return Typed(f"{value}", value, unit)


def is_refused(kind: type[Exception], door: Callable[[], object]) -> bool:
    try:
        door()
    except kind:
        return True
    return False


def test_the_analysis_flags_a_reading_outside_the_range_that_is_declared_for_it() -> None:
    rows = ("shot_mass", "tube_length", "end_allowance", "inversions", "start_temperature", "end_temperature")
    for (least, most), name in zip(POSSIBLE, rows, strict=False):
        flagged = QUANTITIES[name].limits.flagged_outside
        assert (least, min(most, float(flagged.most))) == flagged.as_floats, name
    for column, bounds in (("shot_mass_kg", limits.SHOT_MASS_KG), ("tube_length_m", limits.LENGTH_M)):
        for value in bounds.flagged_outside.as_floats:
            for beyond, expected in ((1.0, False), (1.001 if value > 1 else 0.999, True)):
                runs = perfect_runs()
                change: dict[str, Any] = {column: value * beyond}
                runs[4] = replace(runs[4], **change)
                rules = {flag.rule for flag in analyse_class(runs, LEAD).runs[4].flags}
                found = any(rule in rules for rule in ("mass-impossible", "length-impossible"))
                assert found is expected, (column, value * beyond)


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
    assert Decimal("9.7639") in limits.GRAVITY_M_PER_S2
    assert Decimal("9.8337") in limits.GRAVITY_M_PER_S2
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
