"""What a thermometer can show in melting ice is bounded once, for every door."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from sqlalchemy import CheckConstraint

from app.physics import limits
from app.physics.asking.temperatures import far_off
from app.physics.reading.ice_point import parse_ice_point
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import PlanProblem, check_plan
from app.records.base import Base
from app.records.constraints import SENTENCES
from tests.physics.test_limits import numbers_in, problem_of
from tests.practicals.a_class import a_plan


def test_every_door_lets_the_same_ice_points_through_and_no_others() -> None:
    bounds, near = limits.ICE_POINT_C.refused_outside, limits.ICE_POINT_C.asked_outside
    stored = {
        str(constraint.name): [Decimal(bound) for bound in found.groups()]
        for table in Base.metadata.tables.values()
        for constraint in table.constraints
        if isinstance(constraint, CheckConstraint)
        and "ice_point" in str(constraint.name)
        and (found := re.search(r"AS NUMERIC\) BETWEEN (-?\d+) AND (\d+)", str(constraint.sqltext)))
    }
    tables = ("bench", "bench_kit", "bench_plan", "kit_check")
    assert sorted(stored) == [f"ck_{table}_ice_point_possible" for table in tables]
    for name, numbers in stored.items():
        assert numbers == numbers_in(SENTENCES[name]) == [bounds.least, bounds.most]
    for bound in (bounds.least, bounds.most):
        assert parse_ice_point(f"{bound}").value == bound
        check_plan(a_plan(bench_plans=(BenchPlanLine(1, ice_point_C=bound),)))
        beyond = bound + bound.copy_sign(bound) / 100
        assert numbers_in(problem_of(parse_ice_point, f"{beyond}"))[:2] == [bounds.least, bounds.most]
        with pytest.raises(PlanProblem):
            check_plan(a_plan(bench_plans=(BenchPlanLine(1, ice_point_C=beyond),)))
    assert far_off(near.most) is None
    assert far_off(near.least) is None
    assert numbers_in(far_off(near.most + Decimal("0.01"))) == [near.most]
