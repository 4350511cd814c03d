"""A department with as many practicals as asked for, written past the use cases in a few statements.

Lists read what was kept, so what is kept here has the figures and the runs of a result, and not the rest.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
from sqlalchemy import insert

from app.physics.materials import MATERIALS
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import KeptCause, PracticalState
from app.records.engine import Database
from app.records.models import KeptResult, Practical
from tests.practicals.a_class import NOW, a_plan

METALS = ("lead", "lead", "lead", "copper", "steel")
FIRST_DAY = date(2019, 9, 2)
TWICE_NORMAL_95 = 2 * 1.96
AT_ONCE = 1000


def fill(database: Database, teachers: list[TeacherIdentity], practicals: int, seed: int = 1) -> None:
    """Practicals dealt out to these teachers, one or more a day, all but the newest few finished."""
    rng = np.random.default_rng(seed)
    days_apart = 365 * 6 / practicals
    rows = [
        _practical(teachers[i % len(teachers)], i, practicals, FIRST_DAY + timedelta(days=i * days_apart))
        for i in range(practicals)
    ]
    with database.writing() as session:
        first = 1 + max(session.scalars(insert(Practical).returning(Practical.id), rows[:1]).all()) - 1
        for start in range(1, practicals, AT_ONCE):
            session.execute(insert(Practical), rows[start : start + AT_ONCE])
        kept = [_kept(rng, first + i, row) for i, row in enumerate(rows) if row["state"] == "finished"]
        for start in range(0, len(kept), AT_ONCE):
            session.execute(insert(KeptResult), kept[start : start + AT_ONCE])


def _practical(teacher: TeacherIdentity, place: int, of: int, day: date) -> dict[str, Any]:
    metal = MATERIALS[METALS[place % len(METALS)]]
    plan = a_plan(title=f"Year {9 + place % 4}, class {place % 7 + 1}, practical {place}", held_on=day)
    state = PracticalState.FINISHED if place < of - 8 else PracticalState.PLANNED
    return {
        "department_id": teacher.department_id,
        "teacher_id": teacher.teacher_id,
        "title": plan.title,
        "held_on": day,
        "state": state,
        "material": metal.key,
        "accepted_J_per_kg_K": plan.accepted_J_per_kg_K.__class__(str(metal.accepted_J_per_kg_K)),
        "accepted_source": plan.accepted_source,
        "gravity_m_per_s2": plan.gravity_m_per_s2,
        "gravity_how": plan.gravity_how,
        "tube_length_m": plan.tube_length_m,
        "end_allowance_m": plan.end_allowance_m,
        "inversions": plan.inversions,
        "planned_benches": 12,
        "thermometer_step_K": plan.thermometer_step_K,
        "typed": {},
        "finished_at": NOW if state == PracticalState.FINISHED else None,
        "created_at": NOW,
    }


def _kept(rng: np.random.Generator, practical_id: int, practical: dict[str, Any]) -> dict[str, Any]:
    accepted = float(practical["accepted_J_per_kg_K"])
    heat, u_heat = accepted * (1 + 0.04 * rng.standard_normal()), accepted * rng.uniform(0.02, 0.06)
    value, u_value = heat + rng.uniform(40, 60), accepted * rng.uniform(0.01, 0.03)
    sink, u_sink = 30 + 4 * rng.standard_normal(), rng.uniform(2, 6)
    runs = (value + 0.05 * accepted * rng.standard_normal(36)).round(2).tolist()
    return {
        "practical_id": practical_id,
        "cause": KeptCause.FINISHED,
        "at": NOW,
        "teacher_id": practical["teacher_id"],
        "analysis_version": 1,
        "revision": 40,
        **_figure("class_value", "J_per_kg_K", value, u_value),
        **_figure("specific_heat", "J_per_kg_K", heat, u_heat),
        **_figure("heat_sink", "J_per_K", sink, u_sink),
        "accepted_J_per_kg_K": accepted,
        "benches": 12,
        "runs": 36,
        "result": {
            "runs": [
                {"apparent_heat_capacity_J_per_kg_K": run, "set_aside": place % 20 == 0}
                for place, run in enumerate(runs)
            ]
        },
    }


def _figure(name: str, unit: str, value: float, u: float) -> dict[str, float]:
    half = TWICE_NORMAL_95 * u / 2
    return {f"{name}_{unit}": value, f"{name}_low": value - half, f"{name}_high": value + half}
