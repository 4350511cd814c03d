"""Changes of who may sign in, counted, so that a server notices records that went back to a backup.

Whoever ends a sign-in, gives a password or switches a teacher does it in `access_changing`: the records count
it, and the data folder keeps the count (`app/records/last_known.py`).
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, update
from sqlalchemy.orm import Session

from app.records.engine import Database
from app.records.last_known import (
    LastKnown,
    can_sign_in_again,
    count_of,
    logins_on_and_off,
    raise_count,
    read_last_known,
    write_last_known,
)
from app.records.models import KnownBrowser, TeacherSession, WayIn

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
        number = raise_count(session)
        logins = logins_on_and_off(session)
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
    known = read_last_known(database.last_known) or LastKnown(0)
    with database.writing() as session:
        older = count_of(session) < known.number
        ended = _end_every_sign_in(session, now) if older else 0
        number = count_of(session)
        if older or starting:
            number = raise_count(session, at_least=known.number)
        active, off = logins_on_and_off(session)
    revived = tuple(login for login in known.switched_off if login in active) if older else ()
    _remember(database, number, active, off, revived)
    return WentBack(ended, revived) if older else None


def _end_every_sign_in(session: Session, now: datetime) -> int:
    """How many there were. Which browsers were revoked and which links used since, nobody can tell."""
    sign_ins = update(TeacherSession).where(TeacherSession.ended_at.is_(None)).values(ended_at=now)
    ended = session.execute(sign_ins.returning(TeacherSession.id)).all()
    session.execute(delete(KnownBrowser))
    session.execute(update(WayIn).where(WayIn.ended_at.is_(None)).values(ended_at=now))
    return len(ended)


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
        known = read_last_known(database.last_known)
        if known is not None and known.number > number:
            return
        still = (*(known.revived if known else ()), *revived)
        found = LastKnown(number, off, tuple(login for login in dict.fromkeys(still) if login in active))
        if found != known:
            write_last_known(database.last_known, found)
