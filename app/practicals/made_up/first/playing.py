"""Watching the made-up class: begin it, play on, change the pace, go to a moment, take it away.

The clock goes only while a page asks, so a page that was closed finds it where it stood. Each of these is one
transaction over one row, and what has been played is a number in it: asking twice plays nothing twice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.practicals.made_up.first.script import LASTS_S, SCRIPT, Moment, place_at
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import Pace
from app.records.engine import Database
from app.records.errors import NotFound
from app.records.models import FirstClass, Practical, Teacher, TeacherSession
from app.words import N_

SPEED = {Pace.HELD: 0.0, Pace.SLOW: 0.5, Pace.USUAL: 1.0}
LONGEST_WAIT = timedelta(seconds=5)
"""What at most goes by between two questions: a page that was away did not show it (our own choice)."""
LAST = len(SCRIPT) - 1
FEWEST, MOST = 6, 16
"""Benches of a class that a small screen can show, and in which one run can stand apart (our own choice)."""


class NothingPlays(NotFound):
    """The teacher has no made-up class, or took it away in another window."""

    sentence = N_("The made-up class is gone. Begin another one from your list of practicals.")


@dataclass(frozen=True)
class Answers:
    """What the teacher said about the real lesson: how many benches, which metal, when."""

    benches: int
    material: str
    held_on: date

    @property
    def played_benches(self) -> int:
        """How many benches the made-up class has."""
        return max(FEWEST, min(self.benches, MOST))


@dataclass(frozen=True)
class Playing:
    """How far a teacher's made-up class is."""

    answers: Answers
    played_s: float
    pace: Pace

    @property
    def place(self) -> int:
        """The place in the script."""
        return place_at(self.played_s)

    @property
    def moment(self) -> Moment:
        """The moment that is to be seen."""
        return SCRIPT[self.place]

    @property
    def goes_on(self) -> bool:
        """Whether something comes by itself."""
        return self.pace is not Pace.HELD and self.place < LAST


def begin(database: Database, *, actor: TeacherIdentity, answers: Answers, now: datetime) -> Playing:
    """Play from the start with these answers, in place of what the teacher watched before."""
    with database.writing() as session:
        session.get_one(Teacher, actor.teacher_id, with_for_update=True)  # two windows may begin at once
        row = session.merge(
            FirstClass(
                teacher_id=actor.teacher_id,
                benches=answers.benches,
                material=answers.material,
                held_on=answers.held_on,
                played_ms=0,
                pace=Pace.USUAL,
                asked_at=now,
            )
        )
        return _playing(row)


def what_plays(database: Database, *, actor: TeacherIdentity) -> Playing | None:
    """What the teacher watches, as far as it was played; None for nothing."""
    with database.reading() as session:
        row = session.get(FirstClass, actor.teacher_id)
        return None if row is None else _playing(row)


def play_on(database: Database, *, actor: TeacherIdentity, now: datetime) -> Playing:
    """Let the time go by that has passed since the page last asked."""
    return _change(database, actor, lambda row: _let_time_pass(row, now))


def go_to(database: Database, *, actor: TeacherIdentity, place: int, now: datetime) -> Playing:
    """Go to the beginning of a moment. It is named, so that a button pressed twice goes there once."""

    def change(row: FirstClass) -> None:
        row.played_ms = 1000 * SCRIPT[max(0, min(place, LAST))].second
        row.asked_at = now

    return _change(database, actor, change)


def set_pace(database: Database, *, actor: TeacherIdentity, pace: Pace, now: datetime) -> Playing:
    """Hold it, or let it play slowly or as usual from now on."""

    def change(row: FirstClass) -> None:
        _let_time_pass(row, now)
        row.pace = pace

    return _change(database, actor, change)


def take_away(database: Database, *, actor: TeacherIdentity) -> None:
    """Remove it. Nothing else was stored."""
    with database.writing() as session:
        row = session.get(FirstClass, actor.teacher_id)
        if row is not None:
            session.delete(row)


def is_new_here(database: Database, *, actor: TeacherIdentity) -> bool:
    """Whether someone who plans lessons has signed in for the first time and has planned none."""
    if actor.is_technician:
        return False
    sign_ins = select(func.count()).where(
        TeacherSession.teacher_id == actor.teacher_id, ~TeacherSession.waits_for_code
    )
    own = select(Practical.id).where(Practical.teacher_id == actor.teacher_id).limit(1)
    with database.reading() as session:
        return (session.scalar(sign_ins) or 0) <= 1 and session.scalar(own) is None


def _change(database: Database, actor: TeacherIdentity, change: Callable[[FirstClass], None]) -> Playing:
    with database.writing() as session:
        row = _locked(session, actor)
        change(row)
        return _playing(row)


def _locked(session: Session, actor: TeacherIdentity) -> FirstClass:
    wanted = select(FirstClass).where(FirstClass.teacher_id == actor.teacher_id).with_for_update()
    row = session.scalar(wanted)
    if row is None:
        raise NothingPlays()
    return row


def _let_time_pass(row: FirstClass, now: datetime) -> None:
    passed = max(timedelta(0), min(now - row.asked_at, LONGEST_WAIT))
    played_ms = row.played_ms + round(passed / timedelta(milliseconds=1) * SPEED[row.pace])
    row.played_ms = min(played_ms, 1000 * LASTS_S)
    row.asked_at = max(row.asked_at, now)


def _playing(row: FirstClass) -> Playing:
    return Playing(Answers(row.benches, row.material, row.held_on), row.played_ms / 1000, row.pace)
