"""Adding, changing, retiring and deleting a piece of the kit; each is noted in the department's log."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.kit.pieces import Figures, Piece, figures_of, is_used, picture, piece_here, require_keeper
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.log import add_to_log
from app.records.choices import LogKind, PieceKind
from app.records.engine import Database
from app.records.errors import Conflict, Unprocessable
from app.records.models import KitPiece
from app.records.models.kit import LONGEST_LABEL
from app.words import N_


class LabelTaken(Conflict):
    """A label is there already, perhaps in other letters."""

    sentence = N_(
        "The label “%(label)s” is taken in this department. Nothing was changed and nothing you typed is"
        " lost: give this piece another label."
    )


class BadLabel(Unprocessable):
    """A label that nobody could write on a piece."""

    sentence = N_("Give the piece a label of up to %(most)s characters, as it is written on it, such as T3.")


class PieceChanged(Conflict):
    """Somebody else changed the piece after this page was loaded."""

    sentence = N_(
        "Someone else changed this piece after the page was loaded. What you typed is still here: look at"
        " what is stored now, then save again."
    )


class PieceUsed(Conflict):
    """A piece that a practical names is not deleted."""

    sentence = N_("Practicals name this piece, so that it stays in the records. Retire it instead.")


def add_piece(
    database: Database,
    *,
    actor: TeacherIdentity,
    kind: PieceKind,
    label: str,
    figures: Figures,
    now: datetime,
) -> Piece:
    """Add a piece. Its label is new in the department."""
    require_keeper(actor)
    label = tidy_label(label)
    with database.writing() as session:
        _require_free(session, actor.department_id, label)
        row = KitPiece(
            department_id=actor.department_id,
            kind=kind,
            label=label,
            label_key=label_key(label),
            created_at=now,
            **figures.__dict__,
        )
        session.add(row)
        session.flush()
        add_to_log(session, LogKind.PIECE_ADDED, actor, now, detail=label)
        return picture(session, row)


def change_piece(
    database: Database,
    *,
    actor: TeacherIdentity,
    seen: Piece,
    label: str,
    figures: Figures,
    now: datetime,
) -> Piece:
    """Put another label or other numbers to a piece that is still as it was `seen`.

    Practicals that were planned keep the numbers that they took.
    """
    require_keeper(actor)
    label = tidy_label(label)
    with database.writing() as session:
        row = piece_here(session, actor, seen.piece_id)
        if (row.label, figures_of(row)) != (seen.label, seen.figures):
            raise PieceChanged()
        _require_free(session, actor.department_id, label, row.id)
        changed = label if label == row.label else f"{row.label} → {label}"
        add_to_log(session, LogKind.PIECE_CHANGED, actor, now, detail=changed)
        row.label, row.label_key = label, label_key(label)
        for name, value in figures.__dict__.items():
            setattr(row, name, value)
        session.flush()
        return picture(session, row)


def retire_piece(
    database: Database, *, actor: TeacherIdentity, piece_id: int, retired: bool, now: datetime
) -> Piece:
    """Take a piece out of use, or back into it. Runs and plans that name it go on naming it."""
    require_keeper(actor)
    with database.writing() as session:
        row = piece_here(session, actor, piece_id)
        if (row.retired_at is not None) != retired:
            row.retired_at = now if retired else None
            kind = LogKind.PIECE_RETIRED if retired else LogKind.PIECE_IN_USE_AGAIN
            add_to_log(session, kind, actor, now, detail=row.label)
        session.flush()
        return picture(session, row)


def remove_piece(database: Database, *, actor: TeacherIdentity, piece_id: int, now: datetime) -> str:
    """Delete a piece that no practical names, with its checks; its label."""
    require_keeper(actor)
    with database.writing() as session:
        row = piece_here(session, actor, piece_id)
        if is_used(session, row.id):
            raise PieceUsed()
        add_to_log(session, LogKind.PIECE_DELETED, actor, now, detail=row.label)
        session.delete(row)
        return row.label


def tidy_label(label: str) -> str:
    """The label as it is kept. Raises `BadLabel`."""
    tidy = "".join(character for character in " ".join(label.split()) if character.isprintable()).strip()
    if not tidy or len(tidy) > LONGEST_LABEL:
        raise BadLabel(most=LONGEST_LABEL)
    return tidy


def label_key(label: str) -> str:
    """By which two labels are the same."""
    return label.casefold()


def _require_free(session: Session, department_id: int, label: str, own_id: int | None = None) -> None:
    there = session.scalar(
        select(KitPiece).where(
            KitPiece.department_id == department_id, KitPiece.label_key == label_key(label)
        )
    )
    if there is not None and there.id != own_id:
        raise LabelTaken(label=there.label)
