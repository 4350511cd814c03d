"""Checks of a thermometer: what it showed in melting ice, when the next is due. Nothing noted is changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from app.physics.reading.readings import Reading
from app.physics.reading.text import with_unit
from app.practicals.kit.pieces import NoSuchPiece, Piece, checks_in, picture, piece_here, require_keeper
from app.practicals.people.actors import TeacherIdentity, shown_name
from app.practicals.people.log import add_to_log
from app.records.choices import LogKind, PieceKind
from app.records.engine import Database
from app.records.errors import FieldProblem
from app.records.models import KitCheck
from app.words import N_

LONGEST_AHEAD = timedelta(days=3660)
"""A check that is further off is a slip of the year (our own choice)."""
A_YEAR = timedelta(days=365)
"""What is offered as the time to the next check (common practice, no source)."""


class ImpossibleCheck(FieldProblem):
    """A check that nobody can have made, or that says nothing."""


@dataclass(frozen=True)
class Check:
    """One line of a thermometer's history."""

    checked_on: date
    ice_point_text: str | None
    due_on: date | None
    who: str


def note_check(
    database: Database,
    *,
    actor: TeacherIdentity,
    piece_id: int,
    checked_on: date,
    reading: Reading | None,
    due_on: date | None,
    today: date,
    now: datetime,
) -> Piece:
    """Add a line to a thermometer's history: a reading in melting ice, the day of the next check, or both.

    Plans that are made or opened from now on take the latest reading; practicals that were held keep theirs.
    """
    require_keeper(actor)
    if reading is None and due_on is None:
        raise ImpossibleCheck(
            "ice_point",
            N_("Type what the thermometer showed in melting ice, or when it is to be checked next."),
        )
    if checked_on > today:
        raise ImpossibleCheck("checked_on", N_("The day of the check has not come yet. Check the date."))
    if due_on is not None and not checked_on < due_on <= today + LONGEST_AHEAD:
        raise ImpossibleCheck(
            "due_on", N_("The next check comes after this one, and within ten years. Check the date.")
        )
    with database.writing() as session:
        row = piece_here(session, actor, piece_id)
        if row.kind is not PieceKind.THERMOMETER:
            raise NoSuchPiece()
        session.add(
            KitCheck(
                piece_id=row.id,
                checked_on=checked_on,
                ice_point_text=None if reading is None else with_unit(reading.raw, reading.unit),
                ice_point_C=None if reading is None else reading.value,
                due_on=due_on,
                teacher_id=actor.teacher_id,
                at=now,
            )
        )
        session.flush()
        add_to_log(session, LogKind.PIECE_CHECKED, actor, now, detail=row.label)
        return picture(session, row)


def checks_of(database: Database, *, actor: TeacherIdentity, piece_id: int) -> list[Check]:
    """A thermometer's history, the latest first."""
    with database.reading() as session:
        rows = checks_in(session, piece_here(session, actor, piece_id).id)
        return [
            Check(row.checked_on, row.ice_point_text, row.due_on, who=shown_name(row.teacher.name))
            for row in rows
        ]
