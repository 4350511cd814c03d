"""Removing a rehearsal's simulated benches and runs; the only rows that are ever taken out of a practical."""

from __future__ import annotations

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.records.models import Bench, Run


def remove_rehearsal_rows(session: Session, practical_id: int) -> int:
    """Take out what was simulated; how many runs that were."""
    removed = session.execute(
        delete(Run).where(Run.practical_id == practical_id, Run.simulated).returning(Run.id)
    ).all()
    session.execute(
        delete(Bench).where(
            Bench.practical_id == practical_id,
            Bench.simulated,
            ~select(Run.id).where(Run.bench_id == Bench.id).exists(),
        )
    )
    return len(removed)
