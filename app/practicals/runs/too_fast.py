"""Runs of a bench that came too fast: one decision of the teacher about all of them.

Each run keeps a decision of its own, as if it had been decided about alone; setting them aside is undone
like setting a whole bench aside (`whole_bench`).
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import and_, select
from sqlalchemy.orm import Session

from app.practicals.benches.rows import bench_numbered
from app.practicals.lesson.permission import practical_to_run
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.decisions import checked_reason, decide_together
from app.records.choices import DecisionAction
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import Run
from app.records.models.run import waits_for_teacher
from app.words import N_


class NothingWaits(Conflict):
    """None of the bench's runs waits any more."""

    sentence = N_("No run of bench %(bench)s waits any more: somebody has decided. Nothing was changed.")


def decide_waiting(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    bench_number: int,
    action: DecisionAction,
    reason: str,
    up_to: int,
    now: datetime,
    again: bool = False,
) -> int:
    """Let the bench's waiting runs count, or set them aside; how many there were.

    `up_to` is the number of the last one that the teacher saw: what came since goes on waiting. `again`:
    decide about those that came too fast and were set aside, in place of those that wait.
    """
    reason = checked_reason(reason)
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        bench = bench_numbered(session, practical.id, bench_number)
        runs = [] if bench is None else _held_back(session, bench.id, up_to, again)
        if not runs:
            raise NothingWaits(bench=bench_number)
        decide_together(session, practical, runs, action, reason, actor, now)
        return len(runs)


def _held_back(session: Session, bench_id: int, up_to: int, set_aside: bool) -> list[Run]:
    which = and_(Run.came_too_fast, Run.set_aside) if set_aside else waits_for_teacher()
    wanted = select(Run).where(Run.bench_id == bench_id, Run.number <= up_to, which)
    return list(session.scalars(wanted.order_by(Run.number)))
