"""Whose practical it is, and how a change of it is noted.

Another department never learns that a practical exists. Every write about one practical takes its turn at the
practical's row, and raises `revision` where a page shows what it changed.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import bindparam, select, update
from sqlalchemy.orm import Session

from app.practicals.lesson.details import PracticalDetails
from app.practicals.people.actors import Actor, TeacherIdentity, teacher_id_of
from app.records.choices import HistoryKind, KeptCause, PracticalState
from app.records.errors import NotAllowed, NotFound
from app.records.models import Practical, ResultDue, StateChange
from app.words import N_


class NoSuchPractical(NotFound):
    """There is no such practical for this reader."""

    sentence = N_("There is no such practical. It may have been deleted; go back to your list.")


class NotYourPractical(NotAllowed):
    """A colleague's practical may be looked at, not run."""

    sentence = N_(
        "This practical belongs to a colleague. You can look at it and copy its plan, not change it."
    )


class OnlyCovered(NotAllowed):
    """Who covers a lesson runs it, and no more."""

    sentence = N_(
        "You run this practical in a colleague's place. Its teacher or the head hands it over and deletes it."
    )


def may_run(actor: TeacherIdentity, practical: Practical | PracticalDetails) -> bool:
    """Its own teacher, who covers it just now, or the head of its department; no technician."""
    number = practical.id if isinstance(practical, Practical) else practical.practical_id
    return is_own(actor, practical) or (
        number in actor.covers and practical.department_id == actor.department_id and not actor.is_technician
    )


def is_own(actor: TeacherIdentity, practical: Practical | PracticalDetails) -> bool:
    """Its own teacher, or the head of its department: they alone hand it over and delete it."""
    if practical.department_id != actor.department_id or actor.is_technician:
        return False
    return practical.teacher_id == actor.teacher_id or actor.is_head


def practical_to_see(session: Session, actor: TeacherIdentity, practical_id: int) -> Practical:
    """The practical, for any teacher of its department."""
    practical = session.get(Practical, practical_id)
    if practical is None or practical.department_id != actor.department_id:
        raise NoSuchPractical()
    return practical


def practical_to_run(session: Session, actor: TeacherIdentity, practical_id: int) -> Practical:
    """The practical, locked until the transaction ends, for those who may run it."""
    practical = locked_practical(session, practical_id)
    if practical is None or practical.department_id != actor.department_id:
        raise NoSuchPractical()
    if not may_run(actor, practical):
        raise NotYourPractical()
    return practical


def practical_to_give_away(session: Session, actor: TeacherIdentity, practical_id: int) -> Practical:
    """The practical, locked until the transaction ends, for its teacher and the head."""
    practical = practical_to_run(session, actor, practical_id)
    if not is_own(actor, practical):
        raise OnlyCovered()
    return practical


def locked_practical(session: Session, practical_id: int) -> Practical | None:
    """The practical's row, locked: every write about one practical takes its turn here."""
    return session.scalar(_LOCKED, {"id": practical_id}, execution_options={"populate_existing": True})


_LOCKED = select(Practical).where(Practical.id == bindparam("id")).with_for_update()


def raise_revision(practical: Practical) -> int:
    """Say that what pages show has changed; the row is locked, so no two writers get the same number."""
    practical.revision += 1
    return practical.revision


def raise_presence(session: Session, practical_id: int) -> None:
    """Say that only a bench's progress changed: the desk reloads, nothing is analysed again."""
    session.execute(
        update(Practical)
        .where(Practical.id == practical_id)
        .values(presence=Practical.presence + 1)
        .execution_options(synchronize_session=False)
    )


def note_change(
    session: Session,
    practical: Practical,
    kind: HistoryKind,
    actor: Actor,
    now: datetime,
    detail: str = "",
) -> None:
    """Append to the practical's own history, and raise its revision.

    Of a finished practical the result is due from now on.
    """
    add_to_history(session, practical, kind, actor, now, detail)
    cause = KeptCause.FINISHED if kind == HistoryKind.FINISHED else KeptCause.DECIDED
    result_may_have_changed(session, practical, actor, now, cause)
    raise_revision(practical)


def add_to_history(
    session: Session,
    practical: Practical,
    kind: HistoryKind,
    actor: Actor | None,
    now: datetime,
    detail: str = "",
) -> None:
    """Append a line to the practical's own history. No teacher: a bench did it, or a rule."""
    session.add(
        StateChange(
            practical_id=practical.id, kind=kind, detail=detail, teacher_id=teacher_id_of(actor), at=now
        )
    )


def result_may_have_changed(
    session: Session,
    practical: Practical,
    actor: Actor,
    now: datetime,
    cause: KeptCause = KeptCause.DECIDED,
) -> None:
    """Note that the result of a finished practical is to be kept (`archive.keeping`); its row is locked.

    Nothing is kept before the finish, so nothing is noted either.
    """
    if practical.state != PracticalState.FINISHED:
        return
    due = session.get(ResultDue, practical.id) or ResultDue(practical_id=practical.id)
    due.cause, due.at = cause, now
    due.teacher_id = teacher_id_of(actor)
    session.add(due)
