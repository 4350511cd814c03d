"""Keeping a class's result: what goes into its row, the short transaction that writes it, and what was kept.

Finish and every later decision only note that a result is due (`lesson.permission`). The page that follows
shows the class, so it has the result already, and keeps it: one more row, nothing worked out twice. Where the
server stops in between, the next look at the class, or the hourly upkeep, finds the note and does the same.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.analysis.results import ClassResult
from app.analysis.version import ANALYSIS_VERSION
from app.analysis.views.json import as_plain_data
from app.practicals.archive.figures import Figures, columns_of, figures_in, figures_of
from app.practicals.lesson.permission import locked_practical, practical_to_run, practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import KeptCause, PracticalState
from app.records.engine import Database
from app.records.errors import Conflict, StorageProblem
from app.records.models import KeptResult, ResultDue, Teacher
from app.words import N_


@dataclass(frozen=True)
class WorkedOut:
    """A result with the moment of the practical that it belongs to."""

    practical_id: int
    revision: int
    result: ClassResult | None


@dataclass(frozen=True)
class PastResult:
    """One result as it was kept; `teacher` is None where no teacher made it due."""

    kept_id: int
    cause: KeptCause
    at: datetime
    teacher: str | None
    analysis_version: int
    figures: Figures


class NothingToKeep(Conflict):
    """The class is not finished, or has no run."""

    sentence = N_("A result is kept once the practical is finished and a run is in. Nothing was kept.")


class ChangedMeanwhile(Conflict):
    """Somebody decided about a run, or changed the plan, while the result was computed."""

    sentence = N_("Something changed in this practical meanwhile. Look again, then keep the result.")


def keep_if_due(database: Database, worked_out: WorkedOut) -> None:
    """Keep the result that is due. A failure is logged, the page shown, and the next look tries again."""
    row = None if worked_out.result is None else _row(worked_out.result)
    try:
        with database.writing() as session:
            practical = locked_practical(session, worked_out.practical_id)
            due = session.get(ResultDue, worked_out.practical_id)
            if practical is None or due is None:
                return
            if practical.state == PracticalState.FINISHED:
                if practical.revision != worked_out.revision:
                    return  # something happened meanwhile: the next look sees it too
                if row is not None and (due.cause == KeptCause.FINISHED or _is_new(session, due, row)):
                    _add(session, worked_out, row, due.cause, due.at, due.teacher_id)
            session.delete(due)
    except StorageProblem as problem:
        logging.getLogger("plumbfall").warning("a result is not kept yet: %s", problem)


def keep_computed_anew(
    database: Database, worked_out: WorkedOut, *, actor: TeacherIdentity, now: datetime
) -> None:
    """Keep a result that a teacher had computed anew, beside the earlier ones."""
    row = None if worked_out.result is None else _row(worked_out.result)
    with database.writing() as session:
        practical = practical_to_run(session, actor, worked_out.practical_id)
        if practical.state != PracticalState.FINISHED or row is None:
            raise NothingToKeep()
        if practical.revision != worked_out.revision:
            raise ChangedMeanwhile()
        _add(session, worked_out, row, KeptCause.ANEW, now, actor.teacher_id)


def kept_results(database: Database, *, actor: TeacherIdentity, practical_id: int) -> list[PastResult]:
    """All of them, the latest first."""
    wanted = (
        select(KeptResult, Teacher.name)
        .outerjoin(Teacher, Teacher.id == KeptResult.teacher_id)
        .where(KeptResult.practical_id == practical_id)
        .order_by(KeptResult.id.desc())
    )
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return [
            PastResult(row.id, row.cause, row.at, name, row.analysis_version, figures_in(row))
            for row, name in session.execute(wanted)
        ]


def _add(
    session: Session,
    worked_out: WorkedOut,
    row: dict[str, Any],
    cause: KeptCause,
    at: datetime,
    teacher_id: int | None,
) -> None:
    session.add(
        KeptResult(
            practical_id=worked_out.practical_id,
            cause=cause,
            at=at,
            teacher_id=teacher_id,
            analysis_version=ANALYSIS_VERSION,
            revision=worked_out.revision,
            **row,
        )
    )


def _is_new(session: Session, due: ResultDue, row: dict[str, Any]) -> bool:
    """Whether the result is another one than was kept last: a step of the wall changes none."""
    last = session.execute(
        select(KeptResult.analysis_version, KeptResult.result)
        .where(KeptResult.practical_id == due.practical_id)
        .order_by(KeptResult.id.desc())
        .limit(1)
    ).first()
    return last is None or (last.analysis_version, last.result) != (ANALYSIS_VERSION, row["result"])


def _row(result: ClassResult) -> dict[str, Any]:
    return {**columns_of(figures_of(result)), "result": as_plain_data(result)}
