"""Who may get in, and what happens when the records go back to an older state of that.

Whoever ends a sign-in, gives a password or switches a teacher does it in `access_changing`: the records count
it, and the data folder keeps the count (`app/records/last_known.py`).
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.records.engine import Database
from app.records.errors import DatabaseNotReady, Problem
from app.records.finding import Finding
from app.records.last_known import LastKnown, keep, recall
from app.records.models import AccessMark, Teacher, TeacherSession
from app.records.models.access_mark import THE_ROW

_WRITING_THE_FILE = threading.Lock()


@dataclass(frozen=True)
class WentBack:
    """The records are older than this server knew. `revived` are sign-in names."""

    ended: int
    revived: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """For whoever looks after the installation."""
        told = (
            "These records are older than the ones this server had before: they were taken back to a backup."
            f" Every sign-in was ended ({self.ended}). Passwords and teachers are as they were then."
        )
        return f"{told} {can_sign_in_again(self.revived)}" if self.revived else told


@contextmanager
def access_changing(database: Database) -> Iterator[Session]:
    """Like `database.writing()`, for a change of who may get in."""
    with database.writing() as session:
        yield session
        session.flush()
        number = _raise(session)
        logins = _logins(session)
    _remember(database, number, *logins)


def end_sign_ins_of_older_records(
    database: Database, *, now: datetime, starting: bool = False
) -> WentBack | None:
    """End every sign-in where the records are older than this server knew; None where they are not.

    Done at every start (`starting` counts it), and every hour after it, for a database that others restored
    meanwhile.
    """
    if database.last_known is None:
        return None
    known = recall(database.last_known)
    with database.writing() as session:
        older = known is not None and _number(session) < known.number
        ended = 0
        if older and known is not None:
            sign_ins = update(TeacherSession).where(TeacherSession.ended_at.is_(None)).values(ended_at=now)
            ended = len(session.execute(sign_ins.returning(TeacherSession.id)).all())
        number = _number(session)
        if older or starting:
            number = _raise(session, at_least=known.number if known else 0)
        active, off = _logins(session)
    revived = tuple(login for login in known.switched_off if login in active) if older and known else ()
    _remember(database, number, active, off, revived)
    return WentBack(ended, revived) if older else None


def can_sign_in_again(logins: tuple[str, ...]) -> str:
    """Who is to be looked at after the records went back."""
    return f"Switched off before, and able to sign in again: {', '.join(logins)}. Switch them off again."


def findings_about_access(address: str, last_known: Path | None) -> list[Finding]:
    """The doctor's lines about records that went back to a backup. Nothing is changed, no problem raised."""
    known = recall(last_known) if last_known is not None else None
    if known is None:
        return []
    try:
        database = Database(address, last_known)
    except Problem:
        return []  # said by the doctor already
    try:
        older = _count_there(database) < known.number
        with database.reading() as session:
            active, _off = _logins(session)
    except Problem:
        return []
    finally:
        database.close()
    named = (*known.revived, *(known.switched_off if older else ()))
    revived = tuple(login for login in dict.fromkeys(named) if login in active)
    age = "older than this server knew; every sign-in ends at the next start"
    lines = [Finding("age of the records", age if older else "as this server knew", good=not older)]
    return [*lines, Finding("teachers", can_sign_in_again(revived), good=False)] if revived else lines


def _count_there(database: Database) -> int:
    """The count in the records; 0 where they are from before there was one."""
    try:
        with database.reading() as session:
            return _number(session)
    except DatabaseNotReady:
        return 0


def _number(session: Session) -> int:
    return session.scalar(select(AccessMark.number).where(AccessMark.id == THE_ROW)) or 0


def _raise(session: Session, at_least: int = 0) -> int:
    """Count one more, past `at_least`."""
    wanted = select(AccessMark).where(AccessMark.id == THE_ROW).with_for_update()
    mark = session.scalar(wanted, execution_options={"populate_existing": True})
    if mark is None:
        mark = AccessMark(id=THE_ROW, number=0)
        session.add(mark)
    mark.number = max(mark.number, at_least) + 1
    session.flush()
    return mark.number


def _logins(session: Session) -> tuple[frozenset[str], tuple[str, ...]]:
    """The sign-in names that are on, and those that are off."""
    rows = session.execute(select(Teacher.login, Teacher.is_active).order_by(Teacher.login)).all()
    return frozenset(login for login, on in rows if on), tuple(login for login, on in rows if not on)


def _remember(
    database: Database,
    number: int,
    active: frozenset[str],
    off: tuple[str, ...],
    revived: tuple[str, ...] = (),
) -> None:
    """Keep the count, unless a larger one is known: then the records went back, and the next look says so."""
    if database.last_known is None:
        return
    with _WRITING_THE_FILE:
        known = recall(database.last_known)
        if known is not None and known.number > number:
            return
        still = (*(known.revived if known else ()), *revived)
        found = LastKnown(number, off, tuple(login for login in dict.fromkeys(still) if login in active))
        if found != known:
            keep(database.last_known, found)
