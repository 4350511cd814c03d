"""A bench whose number is beyond the plan: until the teacher lets it in, it is not there for the class."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from app.practicals.benches.joining import bench_numbered
from app.practicals.benches.watch import NoSuchBench
from app.practicals.lesson.permission import note_change, practical_to_run
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import HistoryKind
from app.records.engine import Database
from app.records.models import Bench, Practical


def let_in(
    database: Database, *, actor: TeacherIdentity, practical_id: int, bench_number: int, now: datetime
) -> None:
    """The bench is one of the class from now on."""
    with database.writing() as session:
        practical, bench = _waiting(session, actor, practical_id, bench_number)
        bench.waits_for_teacher = False
        note_change(session, practical, HistoryKind.BENCH_LET_IN, actor, now, str(bench_number))


def refuse(
    database: Database, *, actor: TeacherIdentity, practical_id: int, bench_number: int, now: datetime
) -> None:
    """The bench is gone, and its phones are asked for their number again. It has sent nothing."""
    with database.writing() as session:
        practical, bench = _waiting(session, actor, practical_id, bench_number)
        session.delete(bench)
        note_change(session, practical, HistoryKind.BENCH_REFUSED, actor, now, str(bench_number))


def _waiting(
    session: Session, actor: TeacherIdentity, practical_id: int, bench_number: int
) -> tuple[Practical, Bench]:
    practical = practical_to_run(session, actor, practical_id)
    bench = bench_numbered(session, practical_id, bench_number)
    if bench is None or not bench.waits_for_teacher:
        raise NoSuchBench()
    return practical, bench
