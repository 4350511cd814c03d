"""A rehearsal's simulated benches and runs, the only rows that are ever taken out of a practical."""

from __future__ import annotations

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import Bench, Practical, Run


def practicals_in_rehearsal(database: Database, *, actor: TeacherIdentity) -> frozenset[int]:
    """The practicals of the teacher's department in which a rehearsal is going on."""
    with database.reading() as session:
        found = session.scalars(
            select(Bench.practical_id)
            .join(Practical, Practical.id == Bench.practical_id)
            .where(Practical.department_id == actor.department_id, Bench.simulated)
            .distinct()
        )
        return frozenset(found)


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
