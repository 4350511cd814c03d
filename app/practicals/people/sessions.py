"""Sign-ins that are running: begun, seen, listed and ended. Each is a row; the browser holds its token.

A session ends when it is signed out, when its hours are over, or when nothing was done in it for as long as
the installation allows. A page that only follows the class by itself is nothing that is done.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import BindParameter, ColumnElement, Row, bindparam, case, select, update
from sqlalchemy.orm import Session

from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest, forget_browsers, is_possible, new_token
from app.practicals.people.log import add_to_log
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.models import Cover, SecondStep, Teacher, TeacherSession, WayIn

SESSION_HOURS = 12
SESSIONS_KEPT = timedelta(days=90)
CODE_MINUTES = 10
"""How long after the right password the code of the second step may be typed (own choice)."""
SEEN_EVERY = timedelta(minutes=1)
MOST_AHEAD = timedelta(days=1)
"""A session that was seen further in the future, by a clock that was wrong then, is over (own choice)."""


@dataclass(frozen=True)
class Browser:
    """What a browser says that it is: "Firefox" on "Android"; empty where it names nothing that we know."""

    name: str = ""
    system: str = ""


NO_BROWSER = Browser()


def browser_in(row: TeacherSession) -> Browser:
    """The browser in which a session was begun."""
    return Browser(row.browser or "", row.system or "")


@dataclass(frozen=True)
class OwnSession:
    """One of a teacher's own sign-ins; `here` is the one that asks."""

    session_id: int
    browser: Browser
    began_at: datetime
    seen_at: datetime
    here: bool


def identity(teacher: Teacher | Row[*tuple[Any, ...]], covers: Iterable[int] = ()) -> TeacherIdentity:
    """The frozen identity of a row with a teacher's columns, with the practicals that it covers just now."""
    return TeacherIdentity(
        teacher.id, teacher.department_id, teacher.login, teacher.name, teacher.role, frozenset(covers)
    )


def begin_session(
    session: Session, teacher_id: int, now: datetime, browser: Browser, *, waits_for_code: bool = False
) -> str:
    """A session's row, and its token. One that waits for a code opens nothing."""
    token = new_token()
    lasts = timedelta(minutes=CODE_MINUTES) if waits_for_code else timedelta(hours=SESSION_HOURS)
    session.add(
        TeacherSession(
            teacher_id=teacher_id,
            token_digest=digest(token),
            created_at=now,
            last_seen_at=now,
            expires_at=now + lasts,
            browser=browser.name or None,
            system=browser.system or None,
            waits_for_code=waits_for_code,
        )
    )
    return token


def asks_for_code(session: Session, teacher_id: int) -> bool:
    """Whether this teacher has a second step at sign-in."""
    wanted = select(SecondStep.teacher_id).where(
        SecondStep.teacher_id == teacher_id, SecondStep.on_since.is_not(None)
    )
    return session.scalar(wanted) is not None


def end_session(session: Session, token: str, now: datetime) -> None:
    """The session of this token is worth nothing from then on."""
    _end(session, now, TeacherSession.token_digest == digest(token))


def end_access(session: Session, teacher: Teacher, now: datetime) -> None:
    """Sign this teacher out everywhere, forget the browsers that were known, end the links to a new
    password."""
    _end(session, now, TeacherSession.teacher_id == teacher.id)
    forget_browsers(session, teacher.id)
    end_links(session, teacher.id, now)


def end_links(session: Session, teacher_id: int, now: datetime) -> None:
    """No link to a new password of this teacher opens anything any more."""
    links = update(WayIn).where(WayIn.teacher_id == teacher_id, WayIn.ended_at.is_(None))
    session.execute(links.values(ended_at=now))


def sign_out(database: Database, *, token: str, now: datetime) -> None:
    """End the session on the server; the token is worth nothing from then on."""
    with access_changing(database) as session:
        end_session(session, token, now)


def sign_out_everywhere(database: Database, *, teacher: TeacherIdentity, now: datetime) -> None:
    """End every session of this teacher, and know none of the browsers any more."""
    with access_changing(database) as session:
        end_access(session, session.get_one(Teacher, teacher.teacher_id), now)
        add_to_log(session, LogKind.SIGNED_OUT_EVERYWHERE, teacher, now, teacher_id=teacher.teacher_id)


def teacher_for_token(
    database: Database, *, token: str, now: datetime, idle: timedelta | None = None, acts: bool = False
) -> TeacherIdentity | None:
    """The teacher whose running session this token is, or None. `idle` is how long nothing may be done in
    it; with `acts` something is done now, which is noted to the minute."""
    if not is_possible(token):
        return None
    asked = {
        "token_digest": digest(token),
        "now": now,
        "done_after": _done_after(now, idle),
        "seen_until": now + MOST_AHEAD,
    }
    with database.looking() as connection:
        found = connection.execute(_OF_TOKEN, asked).all()
    if not found:
        return None
    row = found[0]
    if acts and abs(now - row.last_seen_at) >= SEEN_EVERY:
        _note_seen(database, token, now)
    return identity(row, (row.covered for row in found if row.covered is not None))


def own_sessions(
    database: Database, *, actor: TeacherIdentity, token: str, now: datetime, idle: timedelta | None = None
) -> list[OwnSession]:
    """Where this teacher is signed in, this browser first, then the last ones that were seen."""
    running = _running(now, _done_after(now, idle), now + MOST_AHEAD)
    wanted = select(TeacherSession).where(TeacherSession.teacher_id == actor.teacher_id, *running)
    here = digest(token)
    with database.reading() as session:
        rows = session.scalars(wanted.order_by(TeacherSession.last_seen_at.desc(), TeacherSession.id.desc()))
        found = [
            OwnSession(
                row.id,
                browser_in(row),
                row.created_at,
                row.last_seen_at,
                row.token_digest == here,
            )
            for row in rows
        ]
    return sorted(found, key=lambda one: not one.here)


def end_own_session(database: Database, *, actor: TeacherIdentity, session_id: int, now: datetime) -> None:
    """Sign this teacher out in one browser; a number that is not one of the own ends nothing."""
    with access_changing(database) as session:
        _end(session, now, TeacherSession.id == session_id, TeacherSession.teacher_id == actor.teacher_id)


def end_other_sessions(database: Database, *, actor: TeacherIdentity, token: str, now: datetime) -> None:
    """Sign this teacher out in every browser but this one."""
    with access_changing(database) as session:
        _end(
            session,
            now,
            TeacherSession.teacher_id == actor.teacher_id,
            TeacherSession.token_digest != digest(token),
        )


def _end(session: Session, now: datetime, *which: ColumnElement[bool]) -> None:
    session.execute(
        update(TeacherSession).where(*which, TeacherSession.ended_at.is_(None)).values(ended_at=now)
    )


Moment = datetime | BindParameter[datetime]


def _running(now: Moment, done_after: Moment, seen_until: Moment) -> tuple[ColumnElement[bool], ...]:
    return (
        TeacherSession.ended_at.is_(None),
        TeacherSession.expires_at > now,
        TeacherSession.waits_for_code.is_(False),
        TeacherSession.last_seen_at > done_after,
        TeacherSession.last_seen_at <= seen_until,
    )


def _done_after(now: datetime, idle: timedelta | None) -> datetime:
    """Since when something must have been done in a session that is running; without `idle`, ever."""
    return datetime.min.replace(tzinfo=UTC) if idle is None else now - idle


_OF_TOKEN = (
    select(
        Teacher.id,
        Teacher.department_id,
        Teacher.login,
        Teacher.name,
        Teacher.role,
        TeacherSession.last_seen_at,
        Cover.practical_id.label("covered"),
    )
    .join(TeacherSession, TeacherSession.teacher_id == Teacher.id)
    .outerjoin(
        Cover,
        (Cover.teacher_id == Teacher.id) & Cover.runs_at(bindparam("now")),
    )
    .where(
        TeacherSession.token_digest == bindparam("token_digest"),
        Teacher.is_active,
        *_running(bindparam("now"), bindparam("done_after"), bindparam("seen_until")),
    )
)
"""The teacher of a running session, once for each practical that is covered just now, else once."""


def _note_seen(database: Database, token: str, now: datetime) -> None:
    """Where it cannot be written the page is shown all the same: the session only ends sooner.

    After a clock stepped back the session has no more hours left than one that begins now.
    """
    seen = update(TeacherSession).where(TeacherSession.token_digest == digest(token))
    latest = now + timedelta(hours=SESSION_HOURS)
    ends = case((TeacherSession.expires_at > latest, latest), else_=TeacherSession.expires_at)
    with suppress(StorageProblem), database.writing() as session:
        session.execute(seen.values(last_seen_at=now, expires_at=ends))
