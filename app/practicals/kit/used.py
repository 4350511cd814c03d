"""Where pieces were used: the practicals that name one, and what they are called where runs name them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, or_, select

from app.practicals.kit.of_bench import SLOTS
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import BenchKit, KitPiece, Practical, Run

SHOWN = 20


@dataclass(frozen=True)
class PracticalWithPiece:
    """One practical that names a piece, and how many runs were made with it."""

    practical_id: int
    title: str
    held_on: date
    runs: int


def practicals_with_piece(
    database: Database, *, actor: TeacherIdentity, piece_id: int
) -> list[PracticalWithPiece]:
    """The latest practicals whose plan or runs name the piece, the newest first."""
    in_run = or_(*(getattr(Run, f"{slot}_id") == piece_id for slot in SLOTS.values()))
    in_plan = or_(*(getattr(BenchKit, f"{slot}_id") == piece_id for slot in SLOTS.values()))
    runs = (
        select(Run.practical_id, func.count().label("runs"))
        .where(in_run, Run.simulated.is_(False))
        .group_by(Run.practical_id)
        .subquery()
    )
    wanted = (
        select(Practical.id, Practical.title, Practical.held_on, func.coalesce(runs.c.runs, 0))
        .outerjoin(runs, runs.c.practical_id == Practical.id)
        .where(Practical.department_id == actor.department_id)
        .where(or_(runs.c.runs > 0, Practical.id.in_(select(BenchKit.practical_id).where(in_plan))))
        .order_by(Practical.held_on.desc(), Practical.id.desc())
        .limit(SHOWN)
    )
    with database.reading() as session:
        return [PracticalWithPiece(*row) for row in session.execute(wanted)]


def labels_of_pieces(database: Database, *, actor: TeacherIdentity) -> Mapping[int, str]:
    """What each piece of the department is called, retired ones with it."""
    wanted = select(KitPiece.id, KitPiece.label).where(KitPiece.department_id == actor.department_id)
    with database.reading() as session:
        return {row.id: row.label for row in session.execute(wanted)}
