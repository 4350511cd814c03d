"""Where pieces were used: the practicals that name one, and what they are called where runs name them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session

from app.practicals.kit.pieces import in_order, piece_columns
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import BenchKit, KitPiece, Practical, Run
from app.records.models.practical import NEWEST_FIRST

SHOWN = 20


@dataclass(frozen=True)
class PracticalWithPiece:
    """One practical that names a piece, and how many runs were made with it."""

    practical_id: int
    title: str
    held_on: date
    runs: int


def names_piece(piece_id: int) -> ColumnElement[bool]:
    """Whether a practical's plan or one of its runs names the piece."""
    ways = [
        Practical.id.in_(select(table.practical_id).where(column == piece_id))
        for table in (BenchKit, Run)
        for column in piece_columns(table)
    ]
    return or_(*ways)


def practicals_with_piece(
    database: Database, *, actor: TeacherIdentity, piece_id: int
) -> list[PracticalWithPiece]:
    """The latest practicals whose plan or runs name the piece, the newest first."""
    in_run = or_(*(column == piece_id for column in piece_columns(Run)))
    runs = (
        select(Run.practical_id, func.count().label("runs"))
        .where(in_run, Run.simulated.is_(False))
        .group_by(Run.practical_id)
        .subquery()
    )
    wanted = (
        select(Practical.id, Practical.title, Practical.held_on, func.coalesce(runs.c.runs, 0))
        .outerjoin(runs, runs.c.practical_id == Practical.id)
        .where(Practical.department_id == actor.department_id, names_piece(piece_id))
        .order_by(*NEWEST_FIRST)
        .limit(SHOWN)
    )
    with database.reading() as session:
        return [PracticalWithPiece(*row) for row in session.execute(wanted)]


def labels_in(session: Session, department_id: int) -> tuple[tuple[int, str], ...]:
    """The pieces of a department by their numbers and labels, as people count."""
    rows = session.execute(select(KitPiece.id, KitPiece.label).where(KitPiece.department_id == department_id))
    return tuple(sorted(((row.id, row.label) for row in rows), key=lambda one: in_order(one[1])))


def labels_of_pieces(database: Database, *, actor: TeacherIdentity) -> Mapping[int, str]:
    """What each piece of the department is called, retired ones with it."""
    with database.reading() as session:
        return dict(labels_in(session, actor.department_id))
