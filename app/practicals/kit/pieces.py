"""The pieces of a department's kit as they stand, and who may change them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PieceKind
from app.records.engine import Database
from app.records.errors import NotAllowed, NotFound
from app.records.models import BenchKit, KitCheck, KitPiece, Run
from app.records.models.kit import PIECE_COLUMNS
from app.words import N_

_NEWEST_FIRST = select(KitCheck).order_by(KitCheck.checked_on.desc(), KitCheck.id.desc())
"""Checks of thermometers; of one day, the one that was noted last comes first."""


class NoSuchPiece(NotFound):
    """There is no such piece for this reader."""

    sentence = N_("There is no such piece in the department's kit. Go back to the list.")


class NotYourKit(NotAllowed):
    """Teachers read the kit."""

    sentence = N_(
        "The technician and the head change the kit. You can look at it, and choose from it in a plan."
    )


@dataclass(frozen=True)
class Figures:
    """What is known of a piece, in SI; what its kind does not have is None."""

    inside_length_m: Decimal | None = None
    bore_m: Decimal | None = None
    caps_m: Decimal | None = None
    step_K: Decimal | None = None
    step_kg: Decimal | None = None
    material: str | None = None
    lot_mass_kg: Decimal | None = None


@dataclass(frozen=True)
class Piece:
    """One piece as it stands. Of a thermometer: its latest reading in melting ice, and when it is due."""

    piece_id: int
    kind: PieceKind
    label: str
    figures: Figures
    retired_at: datetime | None
    ice_point_C: Decimal | None = None
    checked_on: date | None = None
    due_on: date | None = None
    used: bool = False

    @property
    def in_use(self) -> bool:
        """Whether a plan may still take it."""
        return self.retired_at is None

    def is_due(self, today: date) -> bool:
        """Whether it should be checked: a thermometer that never was, or whose day has come."""
        if self.kind is not PieceKind.THERMOMETER or not self.in_use:
            return False
        return self.checked_on is None if self.due_on is None else self.due_on <= today


def may_change_kit(actor: TeacherIdentity) -> bool:
    """A technician, or a head."""
    return actor.is_technician or actor.is_head


def pieces_of_department(database: Database, *, actor: TeacherIdentity) -> list[Piece]:
    """All pieces of the department, by kind and label as people count (T2 before T10)."""
    with database.reading() as session:
        return list(pieces_by_id(session, actor.department_id).values())


def one_piece(database: Database, *, actor: TeacherIdentity, piece_id: int) -> Piece:
    """One of them."""
    with database.reading() as session:
        return picture(session, piece_here(session, actor, piece_id))


def require_keeper(actor: TeacherIdentity) -> None:
    """Raise `NotYourKit` where this reader may not change the kit."""
    if not may_change_kit(actor):
        raise NotYourKit()


def pieces_by_id(session: Session, department_id: int) -> dict[int, Piece]:
    """All pieces of a department by their numbers, in the order of kinds and labels."""
    rows = session.scalars(select(KitPiece).where(KitPiece.department_id == department_id)).all()
    named = _used_ids(session, department_id)
    checks: dict[int, list[KitCheck]] = {row.id: [] for row in rows}
    for check in session.scalars(_NEWEST_FIRST.where(KitCheck.piece_id.in_(checks))):
        checks[check.piece_id].append(check)
    found = [_picture(row, checks[row.id], used=row.id in named) for row in rows]
    found.sort(key=lambda piece: (list(PieceKind).index(piece.kind), in_order(piece.label)))
    return {piece.piece_id: piece for piece in found}


def in_order(label: str) -> tuple[tuple[int, int, str], ...]:
    """By which labels stand as people count: T2, T10, T10b."""
    parts: list[str] = []
    for sign in label.casefold():
        if parts and parts[-1][-1].isdecimal() == sign.isdecimal():
            parts[-1] += sign
        else:
            parts.append(sign)
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts)


def picture(session: Session, row: KitPiece) -> Piece:
    """The frozen picture of a piece."""
    return _picture(row, checks_in(session, row.id), used=is_used(session, row.id))


def checks_in(session: Session, piece_id: int) -> Sequence[KitCheck]:
    """The checks of a thermometer, the latest first."""
    return session.scalars(_NEWEST_FIRST.where(KitCheck.piece_id == piece_id)).all()


def _picture(row: KitPiece, newest_first: Sequence[KitCheck], *, used: bool) -> Piece:
    read = next((check for check in newest_first if check.ice_point_C is not None), None)
    last = next(iter(newest_first), None)
    return Piece(
        row.id,
        row.kind,
        row.label,
        figures_of(row),
        row.retired_at,
        ice_point_C=read.ice_point_C if read else None,
        checked_on=read.checked_on if read else None,
        due_on=last.due_on if last else None,
        used=used,
    )


def figures_of(row: KitPiece) -> Figures:
    """What is known of it."""
    return Figures(**{name: getattr(row, name) for name in Figures.__dataclass_fields__})


def piece_here(session: Session, actor: TeacherIdentity, piece_id: int) -> KitPiece:
    """The row of a piece; another department's is not there."""
    row = session.get(KitPiece, piece_id)
    if row is None or row.department_id != actor.department_id:
        raise NoSuchPiece()
    return row


def piece_columns(table: type[BenchKit | Run]) -> list[InstrumentedAttribute[int | None]]:
    """The columns of plans or of runs that name a piece, in the order of `PieceKind`."""
    return [getattr(table, name) for name in PIECE_COLUMNS]


def is_used(session: Session, piece_id: int) -> bool:
    """Whether a plan or a run names it."""
    return any(
        session.scalar(select(column).where(column == piece_id).limit(1)) is not None
        for column in (*piece_columns(BenchKit), *piece_columns(Run))
    )


def _used_ids(session: Session, department_id: int) -> set[int]:
    """The department's pieces that a plan or a run names."""
    own = select(KitPiece.id).where(KitPiece.department_id == department_id)
    return {
        piece_id
        for column in (*piece_columns(BenchKit), *piece_columns(Run))
        for piece_id in session.scalars(select(column).where(column.in_(own)).distinct())
        if piece_id is not None
    }
