"""One person's data: all that the records hold of an account, and taking the person out of it.

What belongs to the account alone (sign-ins, known browsers, ways in) goes with the person. What the person
did with practicals is the department's record and stays, under "a former teacher": the account's row stays as
a number that nobody can sign in with. A name that somebody typed into a reason or a title is not found here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Column, Table, delete, or_, select
from sqlalchemy.orm import Session

from app.practicals.people import departments
from app.practicals.people.access import access_changing
from app.practicals.people.actors import FORMER_TEACHER, TeacherIdentity
from app.practicals.people.departments import require_head
from app.practicals.people.log import add_to_log
from app.records.base import Base
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.errors import Conflict, Unprocessable
from app.records.models import LogEntry, Teacher
from app.words import N_

SECRETS = ("digest", "hash", "secret")
"""Parts of the names of columns that are no data about a person, and would let somebody in."""
NO_PASSWORD = "-"  # nosec B105 # noqa: S105 - no hash, so that no password fits it


class OwnPerson(Conflict):
    """Nobody removes themselves: somebody else of the department should have seen it."""

    sentence = N_("You cannot remove yourself. Ask another head of the department.")


class NotThatPerson(Unprocessable):
    """What was typed to make sure is not the sign-in name."""

    sentence = N_("That is not the sign-in name. Nothing was removed.")


@dataclass(frozen=True)
class KeptAboutPerson:
    """Everything that names an account: for each table the rows, without what would let somebody in."""

    teacher_id: int
    login: str
    name: str
    tables: Mapping[str, tuple[Mapping[str, Any], ...]]


def kept_about(database: Database, *, actor: TeacherIdentity, teacher_id: int) -> KeptAboutPerson:
    """All that is kept about a teacher, for that teacher and for the head of the department."""
    with database.reading() as session:
        if actor.teacher_id != teacher_id:
            require_head(session, actor)
        teacher = departments.colleague_row(session, actor, teacher_id)
        tables = {
            table.name: rows
            for table, columns in tables_about_people()
            if (rows := tuple(_rows(session, table, columns, teacher.id)))
        }
        return KeptAboutPerson(teacher.id, teacher.login, teacher.name, tables)


def remove_person(
    database: Database, *, actor: TeacherIdentity, teacher_id: int, login: str, now: datetime
) -> None:
    """Take the person out of the account. `login` is typed to make sure; there is no way back."""
    with access_changing(database) as session:
        teacher = departments.colleague_to_change(session, actor, teacher_id)
        if teacher.id == actor.teacher_id:
            raise OwnPerson()
        if login.strip().casefold() != teacher.login.casefold():
            raise NotThatPerson()
        departments.refuse_if_last_head(session, teacher)
        for table, column in _belonging_to_the_account():
            session.execute(delete(table).where(column == teacher.id))
        teacher.is_active = False
        teacher.name, teacher.login = FORMER_TEACHER, f"former-{teacher.id}"
        teacher.password_hash = NO_PASSWORD
        add_to_log(session, LogKind.PERSON_REMOVED, actor, now, teacher_id=teacher.id)


def tables_about_people() -> Iterator[tuple[Table, list[Column[Any]]]]:
    """Each table with its columns that hold the number of an account: by its foreign keys, and the log."""
    account = Base.metadata.tables[Teacher.__tablename__]
    yield account, [account.c.id]
    for table in Base.metadata.sorted_tables:
        columns = [key.parent for key in table.foreign_keys if key.column.table.name == Teacher.__tablename__]
        if table.name == LogEntry.__tablename__:
            columns = [table.c.actor_id, table.c.teacher_id]
        if columns:
            yield table, columns


def _belonging_to_the_account() -> Iterator[tuple[Table, Column[Any]]]:
    """What would go with the account's row: the tables whose foreign key says so."""
    for table in Base.metadata.sorted_tables:
        for key in table.foreign_keys:
            if key.column.table.name == Teacher.__tablename__ and key.ondelete == "CASCADE":
                yield table, key.parent


def _rows(
    session: Session, table: Table, columns: list[Column[Any]], teacher_id: int
) -> Iterator[dict[str, Any]]:
    shown = [column for column in table.c if not any(part in column.name for part in SECRETS)]
    wanted = select(*shown).where(or_(*(column == teacher_id for column in columns)))
    for row in session.execute(wanted.order_by(*table.primary_key.columns)).mappings():
        yield dict(row)
