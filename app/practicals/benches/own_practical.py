"""What a bench's phone may know of the practical it belongs to."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from app.practicals.benches.watch import BenchDetails, NoSuchBench, benches_in
from app.practicals.lesson.details import PracticalDetails, details_of
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.reading import OWN_CALCULATION, RunDetails, runs_in
from app.records.choices import PracticalState
from app.records.engine import Database
from app.records.models import Practical, Run, RunVersion


@dataclass(frozen=True)
class OwnPractical:
    """A bench's practical, the bench itself, its runs with their keys, and which of them were corrected."""

    practical: PracticalDetails
    bench: BenchDetails
    runs: tuple[RunDetails, ...]
    keys: tuple[str, ...]
    corrected: frozenset[int]

    @property
    def unanswered(self) -> tuple[RunDetails, ...]:
        """Runs whose unlikely readings the phone could not ask about; a finished practical asks nothing."""
        if self.practical.state == PracticalState.FINISHED:
            return ()
        return tuple(run for run in self.runs if run.waits_for_an_answer)

    @property
    def last_run(self) -> RunDetails | None:
        """The bench's latest run, whose tube and shot the next one will have."""
        return self.runs[-1] if self.runs else None


def own_practical(database: Database, *, actor: BenchIdentity) -> OwnPractical:
    """Everything that the bench's own pages show, in one look."""
    with database.reading() as session:
        practical = session.get(Practical, actor.practical_id)
        benches = benches_in(session, actor.practical_id, actor.bench_id)
        if practical is None or not benches:
            raise NoSuchBench()
        runs = runs_in(session, actor.practical_id, actor.bench_id)
        keys = session.scalars(select(Run.idempotency_key).where(Run.bench_id == actor.bench_id)).all()
        corrected = session.scalars(
            select(RunVersion.run_id)
            .join(Run, Run.id == RunVersion.run_id)
            .where(Run.bench_id == actor.bench_id, RunVersion.version > 1)
            .where(RunVersion.reason != OWN_CALCULATION)
        )
        return OwnPractical(details_of(practical), benches[0], tuple(runs), tuple(keys), frozenset(corrected))
