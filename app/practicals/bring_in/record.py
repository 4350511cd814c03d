"""A practical out of its document, stored with everything that belongs to it, once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import Enum, auto

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.physics.materials import MATERIALS
from app.practicals.bring_in.kit import Relabelled, kits_here, pieces_here
from app.practicals.bring_in.people import ids_of_people
from app.practicals.bring_in.rows import add_practical, add_runs, has_runs_of
from app.practicals.lesson.permission import add_to_history
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.departments import locked_department
from app.practicals.people.log import add_to_log
from app.records.choices import HistoryKind, LogKind
from app.records.engine import Database
from app.records.errors import Conflict, NotAllowed, Unprocessable
from app.records.from_file import PracticalInFile
from app.records.keys import practical_key
from app.records.models import Practical, StateChange
from app.records.whole import WholePractical, whole_practicals
from app.words import N_


class Outcome(Enum):
    """What became of a practical in a file."""

    STORED = auto()
    HERE_ALREADY = auto()
    HERE_OTHERWISE = auto()


class RunsElsewhere(Conflict):
    """Runs are stored once; these belong to a practical that has another key."""

    sentence = N_(
        "Some of its runs are in these records already, in another practical. Nothing of it was stored."
    )


class UnknownMetal(Unprocessable):
    """The document names a metal that this program does not have."""

    sentence = N_("The metal “%(typed)s” is not known here. Nothing of it was stored.")


class NoWriter(NotAllowed):
    """A technician takes away and brings nothing in."""

    sentence = N_("Teachers and heads bring practicals in. Nothing was stored.")


@dataclass(frozen=True)
class BroughtIn:
    """What became of it, and the practical that it is now or was already."""

    outcome: Outcome
    practical_id: int
    relabelled: tuple[Relabelled, ...] = ()
    """Its pieces of kit that have other labels here."""


def bring_in(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical: PracticalInFile,
    is_the_same: Callable[[WholePractical], bool],
    now: datetime,
) -> BroughtIn:
    """Store the practical in the actor's department: all of it, or nothing.

    One that is here already is left as it is; `is_the_same` tells whether the file says the same of it.
    """
    if actor.is_technician:
        raise NoWriter()
    for named in (practical.practical, *practical.pieces):
        if named["material"] is not None and named["material"] not in MATERIALS:
            raise UnknownMetal(typed=named["material"])
    with database.writing() as session:
        locked_department(session, actor.department_id)
        here = practical_known_as(session, actor.department_id, practical.key)
        if here is not None:
            (stored,) = whole_practicals(session, [here])
            same = is_the_same(stored)
            return BroughtIn(Outcome.HERE_ALREADY if same else Outcome.HERE_OTHERWISE, here)
        if has_runs_of(session, practical):
            raise RunsElsewhere()
        people = ids_of_people(session, actor.department_id, practical.people, now)
        pieces = pieces_here(session, actor, practical.pieces, now)
        kits = kits_here(practical, pieces.names)
        made = add_practical(session, actor.department_id, practical, people, kits)
        add_runs(session, made, practical, people, pieces.names)
        note_brought_in(session, made, practical.key, actor, now, "document")
        return BroughtIn(Outcome.STORED, made.id, pieces.relabelled)


def practical_known_as(session: Session, department_id: int, key: str) -> int | None:
    """The department's practical that has this key outside the records."""
    own = select(Practical.id, Practical.created_at).where(Practical.department_id == department_id)
    came = (
        select(StateChange.practical_id, StateChange.detail)
        .join(Practical, Practical.id == StateChange.practical_id)
        .where(Practical.department_id == department_id, StateChange.kind == HistoryKind.BROUGHT_IN)
    )
    keys = {row.practical_id: row.detail for row in session.execute(came)}
    found = (row.id for row in session.execute(own) if practical_key(*row, keys.get(row.id)) == key)
    return next(found, None)


def note_brought_in(
    session: Session, practical: Practical, key: str, actor: TeacherIdentity, now: datetime, what: str
) -> None:
    """A line of the practical's history, which keeps its key, and one of the department's log."""
    add_to_history(session, practical, HistoryKind.BROUGHT_IN, actor, now, key)
    add_to_log(session, LogKind.IMPORTED, actor, now, practical_id=practical.id, detail=what)
