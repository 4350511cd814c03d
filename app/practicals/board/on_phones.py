"""What the wall shows, on a bench's phones: as far as the board has come, unless the teacher hides it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import bindparam, select

from app.practicals.board.reveal import BOARD_STEPS
from app.practicals.board.snapshot import Snapshot, board_snapshot
from app.practicals.people.actors import BenchIdentity
from app.records.choices import BoardStep
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import Practical
from app.words import N_


class NothingToTakeHome(Conflict):
    """The wall has not come to its last step, or the teacher hides the class from the phones."""

    sentence = N_(
        "The class's result can be taken home once the wall has shown its last step. Ask your teacher."
    )


@dataclass(frozen=True)
class Watched:
    """The light answer that a phone asks for every two seconds: when it changes, the picture does."""

    revision: int
    step: BoardStep
    shown: bool
    presence: int | None
    """How far the benches are; part of the picture only while the board shows who has reported."""


_WATCHED = select(
    Practical.revision, Practical.presence, Practical.board_step, Practical.bench_results_shown
).where(Practical.id == bindparam("practical_id"))


def watched_by_bench(database: Database, *, actor: BenchIdentity) -> Watched:
    """As the records stand; no run is loaded."""
    with database.looking() as connection:
        row = connection.execute(_WATCHED, {"practical_id": actor.practical_id}).one()
    revision, presence, step, shown = row
    return Watched(revision, step, shown, presence if step == BoardStep.REPORTED else None)


def shown_to_bench(database: Database, *, actor: BenchIdentity) -> Snapshot | None:
    """The moment that the wall shows; None where the teacher hides it from the phones."""
    snapshot = board_snapshot(database, actor.practical_id, actor=actor)
    return snapshot if snapshot.board.bench_results_shown else None


def taken_home(database: Database, *, actor: BenchIdentity) -> Snapshot:
    """The same once nothing is left to be revealed, to be kept by the bench."""
    snapshot = shown_to_bench(database, actor=actor)
    if snapshot is None or snapshot.board.step != BOARD_STEPS[-1]:
        raise NothingToTakeHome()
    return snapshot
