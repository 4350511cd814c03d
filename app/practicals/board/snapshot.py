"""The class as it stands, worked out once for each set of readings however many pages ask, if any shows it.

`current_presence` is the light question that boards ask every two seconds; only when the number
has changed are rows loaded, and only when readings, decisions or the plan changed is anything worked out
again. The analysis runs outside the transaction.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

from cachetools import LRUCache, cached
from sqlalchemy import bindparam, select

from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassResult
from app.physics.materials import u_accepted_J_per_kg_K
from app.physics.planned import nearest_count
from app.practicals.archive.keeping import WorkedOut, keep_if_due
from app.practicals.benches.ice_point import ice_points_C
from app.practicals.benches.watch import BenchDetails, benches_in
from app.practicals.board.reveal import BoardState, board_of
from app.practicals.lesson.details import Plan, PracticalDetails, details_of
from app.practicals.lesson.permission import NoSuchPractical
from app.practicals.people.actors import Actor, BenchIdentity, TeacherIdentity
from app.practicals.runs.reading import RunDetails, RunsUntil, runs_in
from app.records.choices import PracticalState
from app.records.engine import Database
from app.records.models import HeldBoard, Practical, ResultDue

KEPT_CLASSES = 64

_SNAPSHOTS: LRUCache[tuple[str, int], Snapshot] = LRUCache(KEPT_CLASSES)
_LOCK = threading.Lock()


@dataclass(frozen=True)
class Snapshot:
    """One moment of a practical: everything in it belongs to the same revision.

    `waiting` are benches beyond the plan that nobody has let in yet: they are not among `benches`.
    `held_back` are runs that came too fast and that nobody has let count: they are in nothing that the class
    sees. `rehearsal` says that the runs were simulated; as soon as one
    real run is in, simulated ones are left out of `runs` and `result`.
    """

    revision: int
    presence: int
    practical: PracticalDetails
    board: BoardState
    benches: tuple[BenchDetails, ...]
    waiting: tuple[BenchDetails, ...]
    runs: tuple[RunDetails, ...]
    held_back: tuple[RunDetails, ...]
    rehearsal: bool
    known_result: ClassResult | None = field(default=None, repr=False, compare=False)
    """The result, once somebody has asked for it."""

    @property
    def result(self) -> ClassResult | None:
        """What the runs come to; None as long as no run is in. It is worked out for the first who shows it:
        while benches send and the wall only counts them, nobody does."""
        if self.known_result is None and self.runs:
            result = _result_of(self.readings, settings_of(self.practical.plan))
            object.__setattr__(self, "known_result", result)  # nothing that could be seen changes
        return self.known_result

    @property
    def all_runs(self) -> tuple[RunDetails, ...]:
        """Those that the class sees, then those held back."""
        return (*self.runs, *self.held_back)

    @property
    def readings(self) -> tuple[RunReadings, ...]:
        """The runs as the analysis takes them."""
        plan, ice_points = self.practical.plan, ice_points_C(self.practical.plan, self.benches)
        return tuple(readings_of(run, plan, ice_points.get(run.bench_number)) for run in self.runs)

    def runs_of(self, bench_number: int) -> tuple[RunDetails, ...]:
        """One bench's runs, in order."""
        return tuple(run for run in self.runs if run.bench_number == bench_number)


_PRESENCE = select(Practical.revision, Practical.presence).where(
    Practical.id == bindparam("practical_id"), Practical.department_id == bindparam("department_id")
)


def current_presence(
    database: Database, practical_id: int, *, actor: TeacherIdentity
) -> tuple[int, int] | None:
    """Revision and presence together: what pages watch; None if this reader has no such practical."""
    asked = {"practical_id": practical_id, "department_id": actor.department_id}
    with database.looking() as connection:
        row = connection.execute(_PRESENCE, asked).first()
    return (row[0], row[1]) if row else None


def class_snapshot(database: Database, practical_id: int, *, actor: Actor) -> Snapshot:
    """The practical with its benches, runs and result, for those who may see it.

    Where its result is due, it is kept: it was worked out for this look anyway.
    """
    with database.reading() as session:
        practical = session.get(Practical, practical_id)
        if practical is None or not _may_see(actor, practical):
            raise NoSuchPractical()
        due = practical.state == PracticalState.FINISHED and session.get(ResultDue, practical_id) is not None
        snapshot = _known(database, practical)
        if snapshot is None:
            details = details_of(practical)
            benches = tuple(benches_in(session, practical_id))
            runs = tuple(runs_in(session, practical_id))
    if snapshot is None:
        snapshot = snapshot_of(details, benches, runs)
        with _LOCK:
            _SNAPSHOTS[str(database.url), practical_id] = snapshot
    if due:
        keep_if_due(database, WorkedOut(practical_id, snapshot.revision, snapshot.result))
    return snapshot


def _known(database: Database, practical: Practical) -> Snapshot | None:
    """The snapshot of this very moment, where it was made before."""
    with _LOCK:
        known = _SNAPSHOTS.get((str(database.url), practical.id))
    same = known is not None and (known.revision, known.presence) == (practical.revision, practical.presence)
    return known if same else None


def board_snapshot(database: Database, practical_id: int, *, actor: Actor) -> Snapshot:
    """What the board may show: the class as it stands, or as it stood when the teacher held the board still.

    A held wall shows the same after a reload, on another laptop and behind another server, because what it
    held is kept as how far the records went, and the records are only added to. Stepping a held board holds
    what the class has at that moment. How far each bench is with its next run is not kept: it shows no value.
    The revision is that of the records.
    """
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
    return snapshot_of(snapshot.practical, benches, runs)


def snapshot_of(
    details: PracticalDetails, benches: tuple[BenchDetails, ...], runs: tuple[RunDetails, ...]
) -> Snapshot:
    """The moment that these rows make."""
    real = tuple(run for run in runs if not run.simulated)
    shown = tuple(run for run in real or runs if not run.held_back)
    return Snapshot(
        revision=details.revision,
        presence=details.presence,
        practical=details,
        board=board_of(details),
        benches=tuple(
            bench for bench in benches if not (bench.waits_for_teacher or (real and bench.simulated))
        ),
        waiting=tuple(bench for bench in benches if bench.waits_for_teacher),
        runs=shown,
        held_back=tuple(run for run in real if run.held_back),
        rehearsal=bool(shown) and not real,
    )


def readings_of(run: RunDetails, plan: Plan, ice_point_C: float | None) -> RunReadings:
    """A stored run as the analysis takes it, with the numbers that the plan gave its bench.

    `ice_point_C` is that of its bench's thermometer; a simulated run was read on none.
    """
    entry = run.entry
    line = plan.own_line(run.bench_number)
    mass, length, step = line.shot_mass_kg, line.tube_length_m, line.thermometer_step_K
    return RunReadings(
        bench=str(run.bench_number),
        run=str(run.number),
        **entry.in_si,
        set_aside=run.set_aside,
        planned_shot_mass_kg=None if mass is None else float(mass),
        planned_tube_length_m=None if length is None else float(length),
        planned_inversions=None
        if line.inversions is None
        else nearest_count(line.inversions, line.second_inversions, entry.readings.inversions),
        start_read_in=entry.start_temperature.unit,
        end_read_in=entry.end_temperature.unit,
        thermometer_step_K=None if step is None else float(step),
        ice_point_C=None if run.simulated else ice_point_C,
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


@cached(LRUCache(KEPT_CLASSES), condition=threading.Condition())
def _result_of(readings: tuple[RunReadings, ...], settings: ClassSettings) -> ClassResult:
    # Whoever asks while it is being worked out waits for that answer; a failure is not kept.
    return _work_out(readings, settings)


def _work_out(readings: tuple[RunReadings, ...], settings: ClassSettings) -> ClassResult:
    # Brings scipy with it, which a phone's first page must not wait for.
    from app.analysis.analyse import analyse_class  # noqa: PLC0415

    return analyse_class(readings, settings)
