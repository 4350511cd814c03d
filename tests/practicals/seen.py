"""What the records hold of a bench and of a practical, for tests to look at."""

from __future__ import annotations

from sqlalchemy import func, select

from app.practicals.benches.watch import BenchDetails, benches_in
from app.practicals.lesson.details import PracticalDetails, details_of
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.runs.reading import RunDetails, runs_in
from app.records.engine import Database
from app.records.models import Practical


def count(database: Database, table: type) -> int:
    """How many rows a table has."""
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


def bench_details(database: Database, *, actor: BenchIdentity) -> BenchDetails:
    """A bench as the desk sees it."""
    with database.reading() as session:
        return benches_in(session, actor.practical_id, actor.bench_id)[0]


def bench_runs(database: Database, *, actor: BenchIdentity) -> list[RunDetails]:
    """A bench's runs, in order."""
    with database.reading() as session:
        return runs_in(session, actor.practical_id, actor.bench_id)


def current_revision(database: Database, practical_id: int) -> int:
    """How often a practical that exists has changed."""
    with database.reading() as session:
        return session.scalars(select(Practical.revision).where(Practical.id == practical_id)).one()


def practicals_of_department(database: Database, *, actor: TeacherIdentity) -> list[PracticalDetails]:
    """All practicals of the teacher's department, the newest first."""
    with database.reading() as session:
        rows = session.scalars(
            select(Practical)
            .where(Practical.department_id == actor.department_id)
            .order_by(Practical.held_on.desc(), Practical.id.desc())
        ).all()
        return [details_of(row) for row in rows]
