"""Whole practicals, read with everything that belongs to them: what exports are made of.

Rows come as plain rows, not as objects: an export passes a million of them. An exact decimal comes as the
text in which it is kept, digit for digit.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, RowMapping, String, Table, func, inspect, select, type_coerce
from sqlalchemy.orm import Session
from sqlalchemy.sql.elements import ColumnElement

from app.records.base import Base, ExactDecimal
from app.records.models import (
    Bench,
    BenchPlan,
    Decision,
    Department,
    HeldBoard,
    KeptResult,
    Practical,
    Run,
    RunVersion,
    StateChange,
    Teacher,
)

AnyRow = Row[Any]


@dataclass(frozen=True, slots=True)
class Person:
    """A teacher, as the records know them."""

    teacher_id: int
    name: str
    created_at: datetime


@dataclass(frozen=True, slots=True)
class WholePractical:
    """One moment of one practical. Each list is in the order in which its rows were made."""

    practical: RowMapping
    department: str
    people: Mapping[int, Person]
    bench_plans: Sequence[AnyRow]
    benches: Sequence[AnyRow]
    runs: Sequence[AnyRow]
    versions: Sequence[AnyRow]
    decisions: Sequence[AnyRow]
    changes: Sequence[AnyRow]
    held: AnyRow | None
    results: Sequence[AnyRow]
    """Those that were kept: all of them, or the last alone."""


def table_of(model: type[Base]) -> Table:
    """The table behind a model."""
    table = inspect(model).local_table
    assert isinstance(table, Table)
    return table


def whole_practicals(
    session: Session, practical_ids: Sequence[int], *, every_result: bool = True
) -> list[WholePractical]:
    """These practicals, by their ids in order, each as it stands in this session's one transaction."""
    practicals = _by_practical(session, Practical, practical_ids, "id")
    departments = {row.id: row.name for row in session.execute(select(Department.id, Department.name))}
    parts: dict[type[Base], dict[int, list[AnyRow]]] = {
        model: _by_practical(session, model, practical_ids)
        for model in (BenchPlan, Bench, Run, RunVersion, Decision, StateChange, HeldBoard)
    }
    parts[KeptResult] = _by_practical(session, KeptResult, practical_ids, last_only=not every_result)
    teachers = session.execute(select(Teacher.id, Teacher.name, Teacher.created_at))
    people = {row.id: Person(row.id, row.name, row.created_at) for row in teachers}
    return [
        WholePractical(
            practical=(practical := practicals[key][0]._mapping),
            department=departments[practical["department_id"]],
            people=people,
            bench_plans=parts[BenchPlan][key],
            benches=parts[Bench][key],
            runs=parts[Run][key],
            versions=parts[RunVersion][key],
            decisions=parts[Decision][key],
            changes=parts[StateChange][key],
            held=next(iter(parts[HeldBoard][key]), None),
            results=parts[KeptResult][key],
        )
        for key in sorted(practicals)
    ]


def _by_practical(
    session: Session,
    model: type[Base],
    practical_ids: Sequence[int],
    name: str = "practical_id",
    *,
    last_only: bool = False,
) -> dict[int, list[AnyRow]]:
    """The rows of a table by their practical's id; versions and decisions belong to it through their run."""
    table, runs = table_of(model), table_of(Run)
    columns: list[ColumnElement[Any]] = [_as_kept(column) for column in table.columns]
    if name in table.columns:
        wanted = select(*columns).where(table.columns[name].in_(practical_ids))
    else:
        columns.append(runs.c.practical_id)
        wanted = (
            select(*columns)
            .join_from(table, runs, runs.c.id == table.c.run_id)
            .where(runs.c.practical_id.in_(practical_ids))
        )
    if last_only:
        own = table.columns[name]
        last = select(func.max(table.c.id)).where(own.in_(practical_ids)).group_by(own)
        wanted = wanted.where(table.c.id.in_(last))
    found: dict[int, list[AnyRow]] = defaultdict(list)
    at = [column.key for column in columns].index(name)
    for row in session.execute(wanted.order_by(*table.primary_key.columns)):
        found[row[at]].append(row)
    return found


def _as_kept(column: ColumnElement[Any]) -> ColumnElement[Any]:
    """The column; an exact decimal as the text that is kept."""
    if not isinstance(column.type, ExactDecimal):
        return column
    return type_coerce(column, String()).label(column.key)
