"""Holding the board still, and letting it follow the class again."""

from __future__ import annotations

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.models import Bench, Decision, HeldBoard, Practical, Run, RunVersion


def hold(session: Session, practical: Practical) -> None:
    """Hold the class as it stands now; the practical's row is locked."""
    own_runs = select(Run.id).where(Run.practical_id == practical.id)
    last_bench = select(func.max(Bench.id)).where(Bench.practical_id == practical.id)
    last_version = select(func.max(RunVersion.id)).where(RunVersion.run_id.in_(own_runs))
    last_decision = select(func.max(Decision.id)).where(Decision.run_id.in_(own_runs))
    session.merge(
        HeldBoard(
            practical_id=practical.id,
            bench_id=session.scalar(last_bench) or 0,
            version_id=session.scalar(last_version) or 0,
            decision_id=session.scalar(last_decision) or 0,
        )
    )


def let_go(session: Session, practical: Practical) -> None:
    """Follow the class again."""
    held = session.get(HeldBoard, practical.id)
    if held is not None:
        session.delete(held)
