"""The class as it stands, worked out once for each set of readings however many pages ask.

`current_revision` is the light question that boards and phones ask every two seconds; only when the number
has changed are rows loaded, and only when readings, decisions or the plan changed is anything worked out
again. The analysis runs outside the transaction.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sqlalchemy import select

from app.analysis.results import ClassResult, ClassSettings, RunReadings
from app.physics.materials import u_accepted_J_per_kg_K
from app.practicals.benches.watch import BenchDetails, benches_in
from app.practicals.board.cache import LastOnes, WorkedOutOnce
from app.practicals.board.reveal import BoardState
from app.practicals.lesson.details import BenchPlanLine, Plan, PracticalDetails, details_of
from app.practicals.lesson.permission import NoSuchPractical
from app.practicals.people.actors import Actor, BenchIdentity
from app.practicals.runs.reading import RunDetails, runs_in
from app.records.engine import Database
from app.records.models import BenchPlan, Practical

KEPT_CLASSES = 64

_NO_LINE = BenchPlanLine(0)

_Question = tuple[tuple[RunReadings, ...], ClassSettings]


@dataclass(frozen=True)
class Snapshot:
    """One moment of a practical: everything in it belongs to the same revision.

    `result` is None as long as no run is in. `rehearsal` says that the runs were simulated; as soon as one
    real run is in, simulated ones are left out of `runs` and `result`.
    """

    revision: int
    presence: int
    practical: PracticalDetails
    board: BoardState
    benches: tuple[BenchDetails, ...]
    runs: tuple[RunDetails, ...]
    result: ClassResult | None
    rehearsal: bool

    @property
    def etag(self) -> str:
        """Changes whenever anything on the desk does; the board needs `revision` only."""
        return f"{self.practical.practical_id}-{self.revision}-{self.presence}"

    def runs_of(self, bench_number: int) -> tuple[RunDetails, ...]:
        """One bench's runs, in order."""
        return tuple(run for run in self.runs if run.bench_number == bench_number)


def current_revision(database: Database, practical_id: int) -> int | None:
    """The revision of what board and phones show; None if there is no such practical."""
    with database.reading() as session:
        return session.scalar(select(Practical.revision).where(Practical.id == practical_id))


def current_presence(database: Database, practical_id: int) -> tuple[int, int] | None:
    """Revision and presence together: what the desk's live page watches."""
    with database.reading() as session:
        wanted = select(Practical.revision, Practical.presence).where(Practical.id == practical_id)
        row = session.execute(wanted).first()
        return (row[0], row[1]) if row else None


def class_snapshot(database: Database, practical_id: int, *, actor: Actor | None = None) -> Snapshot:
    """The practical with its benches, runs and result. `actor`, where given, must be allowed to see it."""
    with database.reading() as session:
        practical = session.get(Practical, practical_id)
        if practical is None or (actor is not None and not _may_see(actor, practical)):
            raise NoSuchPractical()
        cached = _SNAPSHOTS.get((str(database.url), practical_id))
        if cached and (cached.revision, cached.presence) == (practical.revision, practical.presence):
            return cached
        plans = session.scalars(select(BenchPlan).where(BenchPlan.practical_id == practical_id)).all()
        details = details_of(practical, list(plans))
        benches = tuple(benches_in(session, practical_id))
        runs = tuple(runs_in(session, practical_id))
    snapshot = put_together(details, benches, runs)
    _SNAPSHOTS.keep((str(database.url), practical_id), snapshot)
    return snapshot


def put_together(
    details: PracticalDetails, benches: tuple[BenchDetails, ...], runs: tuple[RunDetails, ...]
) -> Snapshot:
    """The moment that these rows make, analysed."""
    real = tuple(run for run in runs if not run.simulated)
    shown = real or runs
    snapshot = Snapshot(
        revision=details.revision,
        presence=details.presence,
        practical=details,
        board=BoardState(
            details.board_step, details.board_paused, details.bench_results_shown, details.revision
        ),
        benches=tuple(bench for bench in benches if not (real and bench.simulated)),
        runs=shown,
        result=None,
        rehearsal=bool(shown) and not real,
    )
    if shown:
        readings = tuple(readings_of(run, details.plan) for run in shown)
        settings = settings_of(details.plan)
        result = _RESULTS.of((readings, settings), lambda: _work_out(readings, settings))
        snapshot = replace(snapshot, result=result)
    return snapshot


def readings_of(run: RunDetails, plan: Plan) -> RunReadings:
    """A stored run as the analysis takes it, with the numbers that the plan gave its bench."""
    entry = run.entry
    line = next((one for one in plan.bench_plans if one.number == run.bench_number), _NO_LINE)
    mass, length = line.shot_mass_kg, line.tube_length_m
    return RunReadings(
        bench=str(run.bench_number),
        run=str(run.number),
        **entry.in_si,
        set_aside=run.set_aside,
        planned_shot_mass_kg=None if mass is None else float(mass),
        planned_tube_length_m=None if length is None else float(length),
        planned_inversions=line.inversions,
        start_read_in=entry.start_temperature.unit,
        end_read_in=entry.end_temperature.unit,
    )


def settings_of(plan: Plan) -> ClassSettings:
    """What the class shares, as the analysis takes it."""
    room = plan.room_temperature_C
    return ClassSettings(
        accepted_J_per_kg_K=float(plan.accepted_J_per_kg_K),
        accepted_source=plan.accepted_source,
        material=plan.material,
        gravity_m_per_s2=float(plan.gravity_m_per_s2),
        u_gravity_m_per_s2=float(plan.u_gravity_m_per_s2),
        thermometer_step_K=float(plan.thermometer_step_K),
        reading_sd_K=float(plan.reading_sd_K),
        length_sd_m=float(plan.length_sd_m),
        room_temperature_C=None if room is None else float(room),
        u_accepted_J_per_kg_K=u_accepted_J_per_kg_K(plan.material, float(plan.accepted_J_per_kg_K)),
    )


def _may_see(actor: Actor, practical: Practical) -> bool:
    if isinstance(actor, BenchIdentity):
        return actor.practical_id == practical.id
    return actor.department_id == practical.department_id


def _work_out(readings: tuple[RunReadings, ...], settings: ClassSettings) -> ClassResult:
    # Brings scipy with it, which a phone's first page must not wait for.
    from app.analysis.analyse import analyse_class  # noqa: PLC0415

    return analyse_class(readings, settings)


_SNAPSHOTS: LastOnes[tuple[str, int], Snapshot] = LastOnes(KEPT_CLASSES)
_RESULTS: WorkedOutOnce[tuple[tuple[RunReadings, ...], ClassSettings], ClassResult] = WorkedOutOnce(
    KEPT_CLASSES
)
