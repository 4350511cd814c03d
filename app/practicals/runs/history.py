"""The whole story of a practical in order: versions, decisions and what the teacher did with the class."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.entry import RunEntry, entry_of
from app.practicals.runs.reading import OWN_CALCULATION
from app.records.append_only import REMOVED
from app.records.choices import DecisionAction
from app.records.engine import Database
from app.records.models import Bench, Decision, Run, RunVersion, StateChange, Teacher


@dataclass(frozen=True)
class HistoryLine:
    """One thing that happened.

    `kind` is "run entered", "run corrected", "own calculation", "set aside", "counted", or
    what was done with the practical ("planned", "opened", "paused", "resumed", "finished", "reopened",
    "code replaced", "plan changed", "bench released", "words removed", "board", …).
    `actor` is a teacher's name, "bench" or "simulator".
    """

    at: datetime
    kind: str
    actor: str
    bench_number: int | None = None
    run_number: int | None = None
    run_id: int | None = None
    version: int | None = None
    reason: str = ""
    words_removed: bool = False
    entry: RunEntry | None = None

    @property
    def is_decision(self) -> bool:
        """Whether a teacher set a run aside or counted it."""
        return self.kind in tuple(DecisionAction)


def history(database: Database, *, actor: TeacherIdentity, practical_id: int) -> list[HistoryLine]:
    """Every version, decision and change of state, oldest first. A rehearsal leaves nothing here."""
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return history_in(session, practical_id)


def history_in(session: Session, practical_id: int) -> list[HistoryLine]:
    """The same, inside a transaction that has checked who is reading."""
    names = {row.id: row.name for row in session.execute(select(Teacher.id, Teacher.name))}
    placed = [
        *_changes(session, practical_id, names),
        *_versions(session, practical_id, names),
        *_decisions(session, practical_id),
    ]
    return [line for _, line in sorted(placed, key=lambda pair: (pair[1].at, pair[0]))]


_Placed = tuple[tuple[int, int], HistoryLine]  # the pair orders what happened in the same instant


def _changes(session: Session, practical_id: int, names: dict[int, str]) -> list[_Placed]:
    rows = session.scalars(select(StateChange).where(StateChange.practical_id == practical_id))
    return [
        (
            (0, row.id),
            HistoryLine(row.at, row.kind, names.get(row.teacher_id or 0, ""), reason=row.detail),
        )
        for row in rows
    ]


def _versions(session: Session, practical_id: int, names: dict[int, str]) -> list[_Placed]:
    rows = session.execute(
        select(RunVersion, Run.number, Bench.number)
        .join(Run, Run.id == RunVersion.run_id)
        .join(Bench, Bench.id == Run.bench_id)
        .where(Run.practical_id == practical_id, Run.simulated.is_(False))
    )
    return [
        (
            (1, version.id),
            HistoryLine(
                at=version.at,
                kind=_kind_of(version),
                actor=names.get(version.teacher_id or 0, version.actor_kind),
                bench_number=bench_number,
                run_number=run_number,
                run_id=version.run_id,
                version=version.version,
                reason="" if version.reason == REMOVED else version.reason,
                words_removed=version.reason == REMOVED,
                entry=entry_of(version),
            ),
        )
        for version, run_number, bench_number in rows
    ]


def _kind_of(version: RunVersion) -> str:
    """A bench's own calculation is kept as a version of its run, and changes no reading."""
    if version.version == 1:
        return "run entered"
    return OWN_CALCULATION if version.reason == OWN_CALCULATION else "run corrected"


def _decisions(session: Session, practical_id: int) -> list[_Placed]:
    rows = session.execute(
        select(Decision, Run.number, Bench.number, Teacher.name)
        .join(Run, Run.id == Decision.run_id)
        .join(Bench, Bench.id == Run.bench_id)
        .join(Teacher, Teacher.id == Decision.teacher_id)
        .where(Run.practical_id == practical_id, Run.simulated.is_(False))
    )
    return [
        (
            (2, decision.id),
            HistoryLine(
                at=decision.at,
                kind=decision.action,
                actor=teacher,
                bench_number=bench_number,
                run_number=run_number,
                run_id=decision.run_id,
                version=decision.run_version,
                reason=decision.reason,
            ),
        )
        for decision, run_number, bench_number, teacher in rows
    ]
