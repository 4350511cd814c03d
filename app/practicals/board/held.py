"""The board's moment: the class as it stands, or as it stood when the teacher held the board still.

A held wall shows the same after a reload, on another laptop and behind another server, because what it held
is kept as how far the records went, and the records are only added to. Stepping a held board holds what the
class has at that moment. How far each bench is with its next run is not kept: it shows no value.
"""

from __future__ import annotations

from app.practicals.board.snapshot import Snapshot, class_snapshot, put_together
from app.practicals.people.actors import Actor
from app.practicals.runs.reading import RunsUntil, runs_in
from app.records.engine import Database
from app.records.models import HeldBoard


def board_snapshot(database: Database, practical_id: int, *, actor: Actor) -> Snapshot:
    """What the board may show of the practical now; the revision is that of the records."""
    snapshot = class_snapshot(database, practical_id, actor=actor)
    if not snapshot.board.paused:
        return snapshot
    with database.reading() as session:
        held = session.get(HeldBoard, practical_id)
        if held is None:
            return snapshot
        bench_id, until = held.bench_id, RunsUntil(held.version_id, held.decision_id)
        runs = tuple(runs_in(session, practical_id, until=until))
    benches = tuple(bench for bench in snapshot.benches if bench.bench_id <= bench_id)
    return put_together(snapshot.practical, benches, runs)
