"""Records with a row in every table, whichever tables there are."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, Boolean, Date, Enum, Float, Integer, LargeBinary, Table, func, insert, select
from sqlalchemy.orm import Session

from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.plan import plan_practical
from app.practicals.people.credentials import note_failure
from app.practicals.people.teachers import sign_in
from app.practicals.people.ways_in import invite
from app.records.base import Base, ExactDecimal, UtcDateTime
from app.records.choices import Role
from app.records.engine import Database
from tests.practicals.a_class import NOW, PASSWORD, AClass, a_plan, a_teacher
from tests.practicals.a_full_class import a_full_class
from tests.practicals.a_kit import a_kit, bench_kit

LATE = datetime(2031, 3, 6, 10, 15, 59, 123456, tzinfo=UTC)


def filled(database: Database) -> AClass:
    """A class with everything, and a row made up from its types in each table that no use case here fills."""
    one = a_full_class(database, title="القصدير, Zinn — “étain” \U0001f9ea")
    gone = plan_practical(database, actor=one.teacher, plan=a_plan(), now=NOW)
    delete_practical(database, actor=one.teacher, practical_id=gone.practical_id, now=LATE)
    sign_in(database, login="mrs-okafor", password=PASSWORD, address="here", now=LATE)
    kit = a_kit(database, a_teacher(database, "ms-lund", role=Role.TECHNICIAN))
    with_kit = a_plan(kits=(bench_kit(kit, 1, "T3", "1", "B1", "Pb 1"),))
    plan_practical(database, actor=one.teacher, plan=with_kit, now=NOW)
    head = a_teacher(database, "mr-ferro", is_head=True)
    invite(database, actor=head, name="Ünal", role=Role.HEAD, now=NOW)
    with database.writing() as session:
        note_failure(session, "f" * 64, LATE)
        for table in Base.metadata.sorted_tables:
            if not session.scalar(select(func.count()).select_from(table)):
                session.execute(insert(table), _made_up(session, table))
    return one


def _made_up(session: Session, table: Table) -> dict[str, Any]:
    row = {}
    for column in table.columns:
        if column.foreign_keys:
            (link,) = column.foreign_keys
            row[column.name] = session.scalar(select(func.min(link.column)))
        elif not (column.primary_key and isinstance(column.type, Integer)):
            row[column.name] = _value(column.type)
    return row


def _value(kind: Any) -> object:
    if isinstance(kind, Enum):
        return (kind.enum_class and next(iter(kind.enum_class))) or kind.enums[0]
    samples: tuple[tuple[Any, object], ...] = (
        (Boolean, True),
        (Integer, 1),
        (Float, 0.1),
        (Date, date(2031, 3, 6)),
        (UtcDateTime, LATE),
        (ExactDecimal, Decimal("1.10")),
        (JSON, {"ä": [1.0, None, "x"], "b": 1e-7}),
        (LargeBinary, b"\x00\xff"),
    )
    return next((value for wanted, value in samples if isinstance(kind, wanted)), "x")
