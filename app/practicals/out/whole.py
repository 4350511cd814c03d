"""Whole practicals to export: one, or those that pass filters, a few in each transaction."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlalchemy import select

from app.practicals.archive.search import Filters, conditions_of
from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import Practical
from app.records.whole import WholePractical, whole_practicals

A_BATCH = 25
"""Practicals read in one transaction: about a thousand runs (our own choice)."""


def whole_practical(database: Database, *, actor: TeacherIdentity, practical_id: int) -> WholePractical:
    """The practical as it stands, read in one transaction."""
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return whole_practicals(session, [practical_id])[0]


def practicals_to_export(
    database: Database, *, actor: TeacherIdentity, filters: Filters, chosen: Sequence[int] | None = None
) -> list[int]:
    """The ids of the practicals of the teacher's department that pass the filters, in order: all of them, or
    those among the chosen."""
    with database.reading() as session:
        conditions = [Practical.department_id == actor.department_id, *conditions_of(session, actor, filters)]
        found = session.scalars(select(Practical.id).where(*conditions).order_by(Practical.id)).all()
    asked = None if chosen is None else set(chosen)
    return [one for one in found if asked is None or one in asked]


def read_one_by_one(
    database: Database, practical_ids: Sequence[int], *, for_tables: bool
) -> Iterator[WholePractical]:
    """These practicals in order, each as it stands at one moment; one that was deleted meanwhile is left out.

    A transaction is open only while a batch is read, never while whoever takes the rows is busy: on SQLite a
    long one would keep everybody from writing.
    """
    for start in range(0, len(practical_ids), A_BATCH):
        with database.reading() as session:
            batch = whole_practicals(session, practical_ids[start : start + A_BATCH], for_tables=for_tables)
        yield from batch
