"""A made-up school with one class, from the simulator with a fixed seed, so that the tool can be tried.

Nothing here was measured. The school, its teacher and its lot of shot do not exist.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import numpy as np
from sqlalchemy import delete, select, update

from app.physics.energy import expected_warming, fall, settled_depth, specific_fall_energy, start_below_room
from app.physics.materials import MATERIALS, Material
from app.physics.reading.ends import with_allowance
from app.physics.run import QUANTITIES, LabelledReadings
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, SimulatedRun, simulate_class
from app.practicals.benches.joining import join_bench
from app.practicals.benches.own_bench import acknowledge_safety
from app.practicals.lesson.details import BenchPlanLine, Plan
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.people.sessions import identity
from app.practicals.people.teachers import add_teacher, hash_new_password, replace_password
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.models import Practical, Teacher

LEAD = MATERIALS["lead"]
SEED = 20_310_306  # the day of the made-up lesson: invented
LOGIN = "demo"
DEPARTMENT = "Physics, Tarnbeck School (made up)"
TEACHER = "A. Lindqvist"
TITLE = "Year 10, falling shot, lot T-7 (made up)"
ROOM_C = 21.0  # invented
STEP_K = 0.1  # invented
HEAT_SINK_J_PER_K = 38.0  # invented
FALL_TUBE_M, CAPS_M, BORE_M, INVERSIONS = 1.0, 0.03, 0.038, 60  # invented
MASSES_KG = (0.26, 0.52, 0.86)  # invented
REPORTED_BENCHES, PLANNED_BENCHES = 12, 14  # invented
SHORT_BENCHES = {"7": 2, "11": 1}
SLIPS = {"4": {2: "inversions-halved"}, "9": {1: "temperatures-swapped"}}


@dataclass(frozen=True)
class LoadedDemo:
    """What a visitor needs; the password was made for this run and is kept only as its hash."""

    teacher: TeacherIdentity
    password: str
    join_code: str
    practical_id: int


def load_demo(database: Database, *, now: datetime) -> LoadedDemo:
    """Load the class afresh: an earlier demo class goes, whatever else was made stays."""
    password = "-".join(secrets.token_hex(3) for _ in range(3))
    teacher = _demo_teacher(database, password, now)
    _remove_demo_classes(database, teacher)
    began = now - timedelta(minutes=38)
    plan = demo_plan(began)
    planned = plan_practical(database, actor=teacher, plan=plan, now=began)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=began)
    code = opened.join_code or ""
    _mark_as_demo(database, planned.practical_id)
    runs = simulated_runs(plan)
    for number in range(1, REPORTED_BENCHES + 1):
        joined = began + timedelta(seconds=40 + 9 * number)
        bench = join_bench(database, code=code, bench_number=number, now=joined).bench
        acknowledge_safety(database, actor=bench, now=joined + timedelta(seconds=35))
        own = [run for run in runs if run.recorded.bench == str(number)]
        _send(database, bench, own, joined + timedelta(minutes=6))
    return LoadedDemo(teacher, password, code, planned.practical_id)


def demo_plan(began: datetime) -> Plan:
    """Fourteen benches with three masses; two benches are left for the visitor's phones."""
    lines = tuple(
        BenchPlanLine(
            number=number,
            shot_mass_kg=Decimal(str(mass_kg(number))),
            end_allowance_m=allowance_m(mass_kg(number)),
            start_temperature_C=Decimal(str(_planned_start(mass_kg(number)))),
        )
        for number in range(1, PLANNED_BENCHES + 1)
    )
    return made_up_plan(
        LEAD,
        title=TITLE,
        held_on=began.date(),
        end_allowance_m=allowance_m(MASSES_KG[1]),
        planned_benches=PLANNED_BENCHES,
        thermometer_step_K=Decimal(str(STEP_K)),
        reading_sd_K=Decimal("0.05"),
        bench_plans=lines,
        delete_after=(began + timedelta(days=365)).date(),
    )


def made_up_plan(metal: Material, **own: Any) -> Plan:
    """A plan with the made-up tube and room, and with the tool's own accepted value of the metal."""
    return Plan(
        material=metal.key,
        accepted_J_per_kg_K=Decimal(str(metal.accepted_J_per_kg_K)),
        accepted_source=metal.accepted_source,
        accepted_temperature_C=Decimal(str(metal.accepted_temperature_C)),
        tube_length_m=Decimal(str(FALL_TUBE_M)),
        bore_m=Decimal(str(BORE_M)),
        inversions=INVERSIONS,
        room_temperature_C=Decimal(str(ROOM_C)),
        **own,
    )


def mass_kg(number: int) -> float:
    """The mass of lead at a bench."""
    return MASSES_KG[(number - 1) % len(MASSES_KG)]


def allowance_m(mass_kg: float, metal: Material = LEAD) -> Decimal:
    """The caps and the depth of the settled shot, to the millimetre."""
    return Decimal(f"{CAPS_M + settled_depth(mass_kg, BORE_M, metal.density_kg_per_m3):.3f}")


def simulated_runs(plan: Plan, seed: int = SEED) -> list[SimulatedRun]:
    """The runs of the benches that have reported, the same for the same seed."""
    benches = tuple(
        SimulatedBench(
            bench=str(line.number),
            shot_mass_kg=float(line.shot_mass_kg or 0),
            inversions=plan.inversions,
            runs=SHORT_BENCHES.get(str(line.number), 3),
            tube_length_m=float(plan.tube_length_m),
            end_allowance_m=float(line.end_allowance_m or 0),
            start_temperature_C=float(line.start_temperature_C or 0),
            slips=SLIPS.get(str(line.number), {}),
        )
        for line in plan.bench_plans[:REPORTED_BENCHES]
    )
    truth = SimulatedPractical(
        benches=benches,
        heat_capacity_J_per_kg_K=float(plan.accepted_J_per_kg_K),
        heat_sink_J_per_K=HEAT_SINK_J_PER_K,
        room_temperature_C=ROOM_C,
        thermometer_step_K=STEP_K,
        reading_sd_K=0.05,
    )
    return simulate_class(np.random.default_rng(seed), truth)


def typed_entry(recorded: LabelledReadings, bench_number: int, decimals: int = 1) -> RunEntry:
    """A simulated run as benches type (invented): in grams or kilograms, some with a decimal comma.

    `decimals` are those of the thermometer.
    """
    in_kg, comma = bench_number % 5 == 0, bench_number % 4 == 3

    def text(value: float, places: int) -> str:
        written = f"{value:.{places}f}"
        return written.replace(".", ",") if comma else written

    mass = f"{text(recorded.shot_mass_kg, 3)} kg" if in_kg else text(recorded.shot_mass_kg * 1000, 0)
    typed = {
        "shot_mass": mass,
        "tube_length": text(recorded.tube_length_m * 100, 1),
        "inversions": f"{recorded.inversions:.0f}",
        "start_temperature": text(recorded.start_temperature_C, decimals),
        "end_temperature": text(recorded.end_temperature_C, decimals),
    }
    if recorded.room_temperature_C is not None:
        typed["room_temperature"] = text(recorded.room_temperature_C, 1)
    if recorded.caps_m is None or recorded.settled_depth_m is None:
        typed["end_allowance"] = text(recorded.end_allowance_m * 100, 1)
    else:
        typed["caps"] = text(recorded.caps_m * 100, 1)
        typed["settled_depth"] = text(recorded.settled_depth_m * 100, 1)
    return RunEntry(with_allowance({name: QUANTITIES[name].read(raw) for name, raw in typed.items()}))


def _planned_start(mass_kg: float) -> float:
    """Half the expected warming below the room, to half a degree."""
    energy = specific_fall_energy(fall(FALL_TUBE_M, float(allowance_m(mass_kg))), INVERSIONS)
    accepted = LEAD.accepted_J_per_kg_K
    warming_K = expected_warming(energy, mass_kg, accepted, HEAT_SINK_J_PER_K)
    return round((ROOM_C - start_below_room(warming_K)) * 2) / 2


def _send(database: Database, bench: BenchIdentity, runs: list[SimulatedRun], first: datetime) -> None:
    for place, run in enumerate(runs):
        sent = first + timedelta(minutes=9 * place, seconds=11 * bench.bench_number)
        enter_run(
            database,
            actor=bench,
            key=secrets.token_hex(16),
            entry=typed_entry(run.recorded, bench.bench_number),
            now=sent,
            client_time=sent,
            start_read_at=sent - timedelta(minutes=3),
        )


def _demo_teacher(database: Database, password: str, now: datetime) -> TeacherIdentity:
    """The demo teacher with this run's password; whoever was signed in as them no longer is."""
    fresh = hash_new_password(password, (LOGIN, TEACHER, DEPARTMENT))
    with database.writing() as session:
        teacher = session.scalar(select(Teacher).where(Teacher.login == LOGIN))
        if teacher is not None:
            replace_password(session, teacher, fresh, now)
            return identity(teacher)
    return add_teacher(
        database,
        login=LOGIN,
        name=TEACHER,
        department=DEPARTMENT,
        password=password,
        now=now,
        new_department=True,
    )


def _remove_demo_classes(database: Database, teacher: TeacherIdentity) -> None:
    with database.writing() as session:
        session.execute(
            delete(Practical).where(Practical.is_demo, Practical.department_id == teacher.department_id)
        )


def _mark_as_demo(database: Database, practical_id: int) -> None:
    with database.writing() as session:
        session.execute(update(Practical).where(Practical.id == practical_id).values(is_demo=True))
