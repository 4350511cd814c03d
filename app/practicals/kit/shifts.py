"""The runs of a department that name their pieces, and what the pieces do to results."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from cachetools import LRUCache, cached
from sqlalchemy import or_, select

from app.practicals.kit.of_bench import pieces_named
from app.practicals.kit.pieces import piece_columns
from app.practicals.lesson.details import details_of
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.entry import entry_of
from app.records.engine import Database
from app.records.models import Bench, Practical, Run, RunVersion
from app.records.models.practical import NEWEST_FIRST
from app.records.models.run import waits_for_teacher

if TYPE_CHECKING:  # brings scipy, which a first page should not wait for
    from app.analysis.piece_columns import RunWithPieces
    from app.analysis.pieces import Shifts

LOOKED_AT = 100
"""The latest practicals that name pieces; older ones say little of a kit of today (our own choice)."""
_KEPT = 8


def shifts_of_kit(database: Database, *, actor: TeacherIdentity) -> Shifts:
    """What each piece does, from the counted runs of the department's latest practicals that name any."""
    return _worked_out(_runs(database, actor.department_id))


def _runs(database: Database, department_id: int) -> tuple[RunWithPieces, ...]:
    from app.analysis.piece_columns import RunWithPieces  # noqa: PLC0415 - brings scipy

    named = or_(*(column.is_not(None) for column in piece_columns(Run)))
    counted = (named, Run.simulated.is_(False), Run.set_aside.is_(False), ~waits_for_teacher())
    latest = (
        select(Practical)
        .where(Practical.department_id == department_id)
        .where(select(Run.id).where(Run.practical_id == Practical.id, *counted).exists())
        .order_by(*NEWEST_FIRST)
        .limit(LOOKED_AT)
    )
    with database.reading() as session:
        plans = {row.id: details_of(row).plan for row in session.scalars(latest)}
        wanted = (
            select(Run, RunVersion, Bench.number)
            .join(RunVersion, (RunVersion.run_id == Run.id) & (RunVersion.version == Run.latest_version))
            .join(Bench, Bench.id == Run.bench_id)
            .where(Run.practical_id.in_(plans), *counted)
            .order_by(Run.practical_id, Bench.number, Run.number)
        )
        return tuple(
            RunWithPieces(
                practical=run.practical_id,
                bench=number,
                readings=entry_of(version).readings,
                pieces=tuple((kind.value, piece) for kind, piece in pieces_named(run).items()),
                material=plan.material,
                accepted_J_per_kg_K=float(plan.accepted_J_per_kg_K),
                thermometer_step_K=float(plan.for_bench(number).thermometer_step_K or 0),
                gravity_m_per_s2=float(plan.gravity_m_per_s2),
            )
            for run, version, number in session.execute(wanted)
            for plan in (plans[run.practical_id],)
        )


@cached(LRUCache(_KEPT), condition=threading.Condition())
def _worked_out(runs: tuple[RunWithPieces, ...]) -> Shifts:
    # Whoever asks while it is being worked out waits for that answer.
    from app.analysis.pieces import piece_shifts  # noqa: PLC0415 - brings scipy

    return piece_shifts(runs)
