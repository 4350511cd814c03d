"""A change of the plan in the history: in words and units, never as the program writes it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from app.practicals.lesson.details import BenchPlanLine, Plan
from app.practicals.lesson.plan import change_plan
from app.records.choices import GravityHow
from tests.practicals.a_class import NOW, AClass
from tests.web.desk.conftest import Reader


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {"room_temperature_C": Decimal("21.3")},
            ["Room temperature of every run without one of its own: not given → 21.3 °C"],
        ),
        ({"depth_measured": True}, ["Each bench measures the depth of its shot: no → yes"]),
        ({"language": "fr"}, ["Language for phones: not given → Français"]),
        ({"delete_after": date(2032, 8, 1)}, ["Delete everything after: not given → 1 August 2032"]),
        ({"material": "copper"}, ["Metal of the shot: Lead → Copper"]),
        ({"tube_length_m": Decimal("0.98")}, ["Tube length: 1 m → 0.98 m"]),
        ({"gravity_how": GravityHow.TYPED}, ["How is g given?: the standard value → typed"]),
        (
            {"gravity_how": GravityHow.LATITUDE, "latitude_deg": Decimal("51.5"), "height_m": Decimal(30)},
            ["How is g given?: the standard value → from latitude and height"],
        ),
        (
            {"inversions": 60, "bore_m": Decimal("0.045")},
            ["Inversions: 50 → 60", "Bore: not given → 0.045 m"],
        ),
        ({"u_gravity_m_per_s2": Decimal("0.02")}, ["Uncertainty of g: 0 m/s² → 0.02 m/s²"]),
        ({"title": "None; or → True: 9A"}, ["Title: Period 4 → None; or → True: 9A"]),
        (
            {"title": "9A; 9B", "bench_plans": (BenchPlanLine(1),)},
            ["Title: Period 4 → 9A; 9B; Plan for each bench"],
        ),
    ],
)
def test_a_change_of_the_plan_is_told_in_words_and_units(
    desk: Reader, planned: AClass, changes: dict[str, Any], says: list[str]
) -> None:
    plan: Plan = replace(planned.practical.plan, **changes)
    change_plan(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, plan=plan, now=NOW
    )
    page = desk.text(f"/desk/{planned.practical_id}/history")
    assert all(words in page for words in says), [line for line in page.splitlines() if "→" in line]
