"""Whole practicals, read with everything that belongs to them: what exports are made of.

Rows come as plain rows, not as objects: an export passes a million of them. An exact decimal comes as the
text in which it is kept, digit for digit.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from operator import itemgetter
from typing import Any

from sqlalchemy import (
    BindParameter,
    Row,
    RowMapping,
    Select,
    String,
    Table,
    bindparam,
    func,
    inspect,
    select,
    type_coerce,
)
from sqlalchemy.orm import Session
from sqlalchemy.sql.elements import ColumnElement

from app.records.base import Base, ExactDecimal
from app.records.choices import HistoryKind
from app.records.models import (
    Bench,
    BenchKit,
    BenchPlan,
    Decision,
    Department,
    HeldBoard,
    KeptResult,
    KitCheck,
    KitPiece,
    Practical,
    Run,
    RunVersion,
    StateChange,
    Teacher,
)
from app.records.models.kit import PIECE_COLUMNS

AnyRow = Row[Any]


@dataclass(frozen=True, slots=True)
class Person:
    """A teacher, as the records know them."""

    teacher_id: int
    name: str
    created_at: datetime
    brought_in_as: str | None


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
    kits: Sequence[AnyRow]
    """The pieces of kit that the plan gives each bench."""
    kit: Mapping[int, AnyRow]
    checks: Mapping[int, Sequence[AnyRow]]
    """All pieces by their ids, and the checks of each, the latest last."""

    @property
    def pieces_named(self) -> set[int]:
        """The pieces that the plan or a run of the practical names."""
        rows = itertools.chain(self.kits, (run for run in self.runs if not run.simulated))
        return {one for row in rows for name in PIECE_COLUMNS if (one := row._mapping[name]) is not None}


def table_of(model: type[Base]) -> Table:
    """The table behind a model."""
    table = inspect(model).local_table
    assert isinstance(table, Table)
    return table


def whole_practicals(
    session: Session, practical_ids: Sequence[int], *, for_tables: bool = False
) -> list[WholePractical]:
    """These practicals, by their ids in order, each as it stands in this session's one transaction.

    `for_tables` leaves out what no table has (`NOT_IN_TABLES`), all results but the last, and of the history
    all but where the practical came from.
    """
    practicals = _by_practical(session, Practical, practical_ids, for_tables)
    departments = {row.id: row.name for row in session.execute(select(Department.id, Department.name))}
    parts = {model: _by_practical(session, model, practical_ids, for_tables) for model in PARTS}
    named = select(Teacher.id, Teacher.name, Teacher.created_at, Teacher.brought_in_as)
    people = {row.id: Person(*row) for row in session.execute(named)}
    kit, checks = _kit(session)
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
            kits=parts[BenchKit][key],
            kit=kit,
            checks=checks,
        )
        for key in sorted(practicals)
    ]


PARTS: tuple[type[Base], ...] = (
    BenchPlan,
    Bench,
    Run,
    RunVersion,
    Decision,
    StateChange,
    HeldBoard,
    KeptResult,
    BenchKit,
)
NOT_IN_TABLES: Mapping[type[Base], frozenset[str]] = {
    Bench: frozenset({"progress_at", "last_seen_at", "asked_for_help_at", "safety_acknowledged_at"}),
    Run: frozenset({"body_digest"}),
    RunVersion: frozenset({"body_digest", "idempotency_key", "start_read_at", "client_time", "at"}),
    KeptResult: frozenset({"at"}),
}
"""Columns that the tables do without: a million moments take their time to be read."""


def _by_practical(
    session: Session, model: type[Base], practical_ids: Sequence[int], for_tables: bool
) -> dict[int, list[AnyRow]]:
    """The rows of a table by their practical's id, each list in the order of its key."""
    wanted, at, order = _statement(model, for_tables)
    rows = session.execute(wanted, {"ids": practical_ids}).all()
    found: dict[int, list[AnyRow]] = defaultdict(list)
    for row in sorted(rows, key=itemgetter(order)):
        found[row[at]].append(row)
    return found


def _kit(session: Session) -> tuple[dict[int, AnyRow], dict[int, list[AnyRow]]]:
    """Every piece by its id, and the checks of each in their order: a department has few."""
    pieces, checks = (
        session.execute(select(*map(_as_kept, table_of(model).columns)).order_by(table_of(model).c.id)).all()
        for model in (KitPiece, KitCheck)
    )
    of_piece: dict[int, list[AnyRow]] = defaultdict(list)
    for check in checks:
        of_piece[check.piece_id].append(check)
    return {piece.id: piece for piece in pieces}, of_piece


@cache
def _statement(model: type[Base], for_tables: bool) -> tuple[Select[Any], int, int]:
    """The statement that reads a table, and where its rows have their practical's id and their own.

    Versions and decisions belong to a practical through their run.
    """
    table, runs = table_of(model), table_of(Run)
    left_out = NOT_IN_TABLES.get(model, frozenset()) if for_tables else frozenset()
    columns: list[ColumnElement[Any]] = [_as_kept(one) for one in table.columns if one.key not in left_out]
    ids: BindParameter[Any] = bindparam("ids", expanding=True)
    own = table.c.id if model is Practical else table.c.get("practical_id")
    if own is not None:
        wanted = select(*columns).where(own.in_(ids))
    else:
        own = runs.c.practical_id
        columns.append(own)
        wanted = select(*columns).join_from(table, runs, runs.c.id == table.c.run_id).where(own.in_(ids))
    if for_tables and model is KeptResult:
        last = select(func.max(table.c.id)).where(own.in_(ids)).group_by(own)
        wanted = wanted.where(table.c.id.in_(last))
    if for_tables and model is StateChange:
        wanted = wanted.where(table.c.kind == HistoryKind.BROUGHT_IN)
    names = [column.key for column in columns]
    (key,) = table.primary_key.columns
    return wanted, names.index(own.key), names.index(key.key)


def _as_kept(column: ColumnElement[Any]) -> ColumnElement[Any]:
    """The column; an exact decimal as the text that is kept."""
    if not isinstance(column.type, ExactDecimal):
        return column
    return type_coerce(column, String()).label(column.key)
