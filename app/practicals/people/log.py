"""The department's log: who did what. Lines are added with what they tell of, in one transaction, and stay.

It holds numbers of accounts and practicals, and no name, so that it says "a former teacher" of a person who
was removed. Nothing that a student typed, no code, no token and no sign-in name goes into `detail`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session, aliased

from app.practicals.people.actors import TeacherIdentity, shown_name, teacher_id_of
from app.practicals.people.departments import require_head
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.models import LogEntry, Practical, Teacher

LINES_A_PAGE = 50
FAILURES_AN_HOUR = 20
"""Failed sign-ins noted for one account in an hour; more tell nothing more (own choice)."""


@dataclass(frozen=True)
class LogLine:
    """One line as a head reads it. `actor` is None for a command, a rule or somebody who was not signed in;
    `practical` is a title, None where there is none or none any more."""

    entry_id: int
    at: datetime
    kind: LogKind
    actor: str | None
    teacher: str | None
    practical: str | None
    practical_id: int | None
    detail: str


@dataclass(frozen=True)
class LogPage:
    """Some lines, the latest first. `older` and `newer` name the next pages, where there are any."""

    lines: tuple[LogLine, ...]
    older: int | None
    newer: int | None


def add_to_log(
    session: Session,
    kind: LogKind,
    actor: TeacherIdentity | None,
    now: datetime,
    *,
    department_id: int | None = None,
    teacher_id: int | None = None,
    practical_id: int | None = None,
    detail: str = "",
) -> None:
    """Add a line, in the transaction of what it tells. `actor` is None for a command at the server and for a
    rule; a line with neither an actor nor a department is of the whole installation."""
    session.add(
        LogEntry(
            at=now,
            department_id=department_id if actor is None else actor.department_id,
            kind=kind,
            actor_id=teacher_id_of(actor),
            teacher_id=teacher_id,
            practical_id=practical_id,
            detail=detail,
        )
    )


def note_download(
    database: Database,
    *,
    actor: TeacherIdentity,
    what: str,
    now: datetime,
    practical_id: int | None = None,
    teacher_id: int | None = None,
) -> None:
    """Somebody took records away: `what` names the kind of file, not its content; `teacher_id` is whom a file
    about one person is about."""
    with database.writing() as session:
        add_to_log(
            session,
            LogKind.DOWNLOADED,
            actor,
            now,
            detail=what,
            practical_id=practical_id,
            teacher_id=teacher_id,
        )


def note_failed_sign_in(session: Session, teacher: TeacherIdentity, now: datetime) -> None:
    """A wrong password for an account that there is; of a flood, the first ones of each hour."""
    lately = select(func.count()).where(
        LogEntry.department_id == teacher.department_id,
        LogEntry.kind == LogKind.SIGN_IN_FAILED,
        LogEntry.teacher_id == teacher.teacher_id,
        LogEntry.at > now - timedelta(hours=1),
    )
    if (session.scalar(lately) or 0) < FAILURES_AN_HOUR:
        add_to_log(
            session,
            LogKind.SIGN_IN_FAILED,
            None,
            now,
            department_id=teacher.department_id,
            teacher_id=teacher.teacher_id,
        )


def log_page(
    database: Database,
    *,
    actor: TeacherIdentity,
    kind: LogKind | None = None,
    before: int | None = None,
    after: int | None = None,
) -> LogPage:
    """The lines of the head's department and of the whole installation, the latest first: those before an
    entry, or those after one, or the last ones."""
    acting, about = aliased(Teacher), aliased(Teacher)
    wanted = (
        select(LogEntry, acting.name, about.name, Practical.title)
        .outerjoin(acting, acting.id == LogEntry.actor_id)
        .outerjoin(about, about.id == LogEntry.teacher_id)
        .outerjoin(Practical, Practical.id == LogEntry.practical_id)
        .where(or_(LogEntry.department_id == actor.department_id, LogEntry.department_id.is_(None)))
    )
    if kind is not None:
        wanted = wanted.where(LogEntry.kind == kind)
    if after is not None:
        wanted = wanted.where(LogEntry.id > after).order_by(LogEntry.id)
    else:
        if before is not None:
            wanted = wanted.where(LogEntry.id < before)
        wanted = wanted.order_by(LogEntry.id.desc())
    with database.reading() as session:
        require_head(session, actor)
        lines = [_line(*row) for row in session.execute(wanted.limit(LINES_A_PAGE + 1))]
    more, lines = len(lines) > LINES_A_PAGE, lines[:LINES_A_PAGE]
    if after is not None:
        lines.reverse()
    first, last = (lines[0].entry_id, lines[-1].entry_id) if lines else (None, None)
    if after is not None:
        return LogPage(tuple(lines), older=last, newer=first if more else None)
    return LogPage(tuple(lines), older=last if more else None, newer=first if before is not None else None)


def _line(row: LogEntry, actor: str | None, teacher: str | None, title: str | None) -> LogLine:
    return LogLine(
        row.id,
        row.at,
        LogKind(row.kind),
        None if row.actor_id is None else shown_name(actor),
        None if row.teacher_id is None else shown_name(teacher),
        title,
        row.practical_id,
        row.detail,
    )
