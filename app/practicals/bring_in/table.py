"""Past runs from another table, stored as a finished practical whose runs a teacher entered."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid5

from sqlalchemy.orm import Session

from app.practicals.benches.rows import bench_numbered
from app.practicals.bring_in.record import BroughtIn, NoWriter, Outcome, note_brought_in, practical_known_as
from app.practicals.lesson.details import Plan
from app.practicals.lesson.permission import note_change
from app.practicals.lesson.plan import add_planned, check_plan
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.departments import locked_department
from app.practicals.runs.decisions import add_decision, checked_reason
from app.practicals.runs.entry import RunEntry, check_entry, columns_of
from app.practicals.runs.storing import store_run
from app.records.choices import DecisionAction, HistoryKind, PracticalState
from app.records.engine import Database
from app.records.keys import NAMESPACE
from app.records.models import Practical, Run


@dataclass(frozen=True)
class PastRun:
    """One run of a table, in the order in which its bench made it. `row` tells it from the table's others."""

    row: int
    bench: int
    entry: RunEntry
    set_aside: bool = False


def bring_in_table(
    database: Database,
    *,
    actor: TeacherIdentity,
    text: str,
    plan: Plan,
    runs: Sequence[PastRun],
    reason: str,
    now: datetime,
) -> BroughtIn:
    """Store all runs, or nothing. The same table of a department is stored once, whatever it is called.

    `reason` is kept with each run that was set aside. The result is due, as at Finish.
    """
    if actor.is_technician:
        raise NoWriter()
    check_plan(plan)
    for run in runs:
        check_entry(run.entry)
    reason = checked_reason(reason)
    digest = hashlib.sha256(text.encode()).hexdigest()
    key = str(uuid5(NAMESPACE, f"table/{actor.department_id}/{digest}"))
    with database.writing() as session:
        locked_department(session, actor.department_id)
        if (here := practical_known_as(session, actor.department_id, key)) is not None:
            return BroughtIn(Outcome.HERE_ALREADY, here)
        practical = add_planned(session, actor, plan, now)
        note_brought_in(session, practical, key, actor, now, "table")
        practical.state, practical.opened_at = PracticalState.COLLECTING, now
        for run in runs:
            _store(session, practical, run, actor, key, reason, now)
        practical.state, practical.finished_at = PracticalState.FINISHED, now
        note_change(session, practical, HistoryKind.FINISHED, actor, now)
        return BroughtIn(Outcome.STORED, practical.id)


def _store(
    session: Session,
    practical: Practical,
    run: PastRun,
    actor: TeacherIdentity,
    key: str,
    reason: str,
    now: datetime,
) -> None:
    bench = bench_numbered(session, practical.id, run.bench) or run.bench
    run_key = hashlib.sha256(f"{key}/{run.row}".encode()).hexdigest()[:32]
    saved = store_run(session, practical, bench, actor, run_key, columns_of(run.entry), now)
    if run.set_aside:
        add_decision(
            session, session.get_one(Run, saved.run_id), DecisionAction.SET_ASIDE, reason, actor, now
        )
