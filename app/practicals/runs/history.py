"""The whole story of a practical in order, and the one thing that can be taken out of it.

Versions, decisions and what the teacher did with the class stay as they are. What a bench wrote about a
correction may hold a name, which the tool is to keep of nobody: it can be removed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.lesson.permission import note_change, practical_to_run, practical_to_see
from app.practicals.people.actors import TeacherIdentity, shown_name
from app.practicals.runs.entry import RunEntry, entry_of
from app.practicals.runs.reading import OWN_CALCULATION, NoSuchRun
from app.records.append_only import REMOVED
from app.records.choices import ActorKind, DecisionAction, HistoryKind
from app.records.engine import Database
from app.records.errors import Unprocessable
from app.records.models import Bench, Decision, Run, RunVersion, StateChange, Teacher
from app.words import N_

HANDED_OVER = (HistoryKind.COVER_GIVEN, HistoryKind.COVER_ENDED, HistoryKind.OWNER_CHANGED)
"""Of these the detail is a colleague's number, and for a cover its last day."""


class NoWordsToRemove(Unprocessable):
    """Only a bench's own words go; readings, own calculations and a teacher's reasons stay."""

    sentence = N_("There are no words of a bench there. Nothing was removed.")


@dataclass(frozen=True)
class HistoryLine:
    """One thing that happened.

    `kind` is one of `HistoryKind`, or what a later version wrote. `actor` is a teacher's name, "bench" or
    "simulator".
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


def remove_bench_words(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    run_id: int,
    version: int,
    now: datetime,
) -> None:
    """Put `REMOVED` in place of the words, and note in the practical's history who did so and where.

    A second time changes nothing.
    """
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        found = session.execute(
            select(RunVersion, Run.number, Bench.number)
            .join(Run, Run.id == RunVersion.run_id)
            .join(Bench, Bench.id == Run.bench_id)
            .where(Run.practical_id == practical.id, Run.id == run_id, RunVersion.version == version)
        ).first()
        if found is None:
            raise NoSuchRun()
        written, run_number, bench_number = found
        if written.reason == REMOVED:
            return
        if written.actor_kind != ActorKind.BENCH or written.reason in ("", OWN_CALCULATION):
            raise NoWordsToRemove()
        written.reason = REMOVED
        told = f"{bench_number} · {run_number}"
        note_change(session, practical, HistoryKind.WORDS_REMOVED, actor, now, told)


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
        *_decisions(session, practical_id, names),
    ]
    return [line for _, line in sorted(placed, key=lambda pair: (pair[1].at, pair[0]))]


_Kept = TypeVar("_Kept", RunVersion, Decision)
_Placed = tuple[tuple[int, int], HistoryLine]  # the pair orders what happened in the same instant


def _changes(session: Session, practical_id: int, names: dict[int, str]) -> list[_Placed]:
    rows = session.scalars(select(StateChange).where(StateChange.practical_id == practical_id))
    return [
        ((0, row.id), HistoryLine(row.at, row.kind, _who_did(row, names), reason=_told(row, names)))
        for row in rows
    ]


def _told(row: StateChange, names: dict[int, str]) -> str:
    """The detail of a line; in place of a colleague's number, that colleague's name as it is now."""
    number, space, day = row.detail.partition(" ")
    if row.kind not in HANDED_OVER or not number.isdigit():
        return row.detail
    return f"{day}{space}{shown_name(names.get(int(number)))}"


def _who_did(row: StateChange, names: dict[int, str]) -> str:
    if row.kind == HistoryKind.WORDS_REMOVED_BY_RULE:
        return ""
    return ActorKind.BENCH if row.teacher_id is None else names.get(row.teacher_id, "")


def _with_numbers(session: Session, kept: type[_Kept], practical_id: int) -> Iterable[tuple[_Kept, int, int]]:
    """Every row about a real run of the practical, with the numbers of that run and of its bench."""
    return session.execute(
        select(kept, Run.number, Bench.number)
        .join(Run, Run.id == kept.run_id)
        .join(Bench, Bench.id == Run.bench_id)
        .where(Run.practical_id == practical_id, Run.simulated.is_(False))
    )


def _versions(session: Session, practical_id: int, names: dict[int, str]) -> list[_Placed]:
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
        for version, run_number, bench_number in _with_numbers(session, RunVersion, practical_id)
    ]


def _kind_of(version: RunVersion) -> HistoryKind:
    """A bench's own calculation is kept as a version of its run, and changes no reading."""
    if version.version == 1:
        return HistoryKind.RUN_ENTERED
    own = version.reason == OWN_CALCULATION
    return HistoryKind.OWN_CALCULATION if own else HistoryKind.RUN_CORRECTED


def _decisions(session: Session, practical_id: int, names: dict[int, str]) -> list[_Placed]:
    return [
        (
            (2, decision.id),
            HistoryLine(
                at=decision.at,
                kind=HistoryKind(decision.action),
                actor=names[decision.teacher_id],
                bench_number=bench_number,
                run_number=run_number,
                run_id=decision.run_id,
                version=decision.run_version,
                reason="" if decision.reason == REMOVED else decision.reason,
                words_removed=decision.reason == REMOVED,
            ),
        )
        for decision, run_number, bench_number in _with_numbers(session, Decision, practical_id)
    ]
