"""Removing what a bench wrote about a correction: it may hold a name, which the tool is to keep of nobody."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select

from app.practicals.lesson.permission import note_change, practical_to_run, raise_revision
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.reading import OWN_CALCULATION, NoSuchRun
from app.records.append_only import REMOVED
from app.records.choices import ActorKind
from app.records.engine import Database
from app.records.errors import Unprocessable
from app.records.models import Bench, Run, RunVersion
from app.words import N_


class NoWordsToRemove(Unprocessable):
    """Only a bench's own words go; readings, own calculations and a teacher's reasons stay."""

    sentence = N_("There are no words of a bench there. Nothing was removed.")


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
        note_change(session, practical, "words removed", actor.teacher_id, now, told)
        raise_revision(practical)
