"""A rehearsal's simulated benches and runs, the only rows that are ever taken out of a practical."""

from __future__ import annotations

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.records.engine import Database
from app.records.models import Bench, Run


def is_in_rehearsal(database: Database, *, practical_id: int) -> bool:
    """Whether a rehearsal is going on in this practical, for a page that its reader may see."""
    simulated = select(Bench.id).where(Bench.practical_id == practical_id, Bench.simulated).limit(1)
    with database.reading() as session:
        return session.scalar(simulated) is not None


def a_bench_has_joined(session: Session, practical_id: int) -> bool:
    """Whether a phone is at a bench, or a run was typed for one: from then on nothing is simulated."""
    real = select(Bench.id).where(Bench.practical_id == practical_id, ~Bench.simulated)
    return session.scalar(real.limit(1)) is not None


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
