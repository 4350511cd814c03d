"""A rehearsal: simulated benches, to try board and flags before the class comes.

What is simulated is marked in every row, never mixed with readings, and gone with one action. A rehearsal is
possible until the first phone joins, which removes it, as opening and finishing the practical do.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

import numpy as np

from app.analysis.plan.kit import Kit
from app.physics.energy import settled_depth
from app.physics.materials import MATERIALS
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, SimulatedRun, simulate_class
from app.practicals.benches.rows import add_bench
from app.practicals.lesson.details import BenchPlanLine, Plan
from app.practicals.lesson.permission import practical_to_run, raise_revision
from app.practicals.lesson.plan import practical_details
from app.practicals.lesson.states import WrongState
from app.practicals.made_up.demo import typed_entry
from app.practicals.made_up.rehearsal_rows import a_bench_has_joined, remove_rehearsal_rows
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.entry import RunEntry, check_entry, columns_of
from app.practicals.runs.storing import add_run, add_version
from app.records.choices import BenchProgress, PracticalState
from app.records.engine import Database
from app.records.errors import Conflict
from app.words import N_

RUNS = 3  # of a bench, where the plan names none (common practice, no source)
USUAL_MASS_KG = 0.4  # where the plan names none (common practice, no source)
USUAL_BORE_M = 0.04  # where the plan names none (common practice, no source)
USUAL_CAPS_M = 0.02  # two caps that reach 1 cm into the tube (common practice, no source)
ROOM_C = 21.0  # where the plan names none (common practice, no source)
PLANTED = ("inversions-halved", "temperatures-swapped")
Slips = Mapping[int, Mapping[int, str]]
"""The slip of a run (keys of `app.physics.simulation.slips.SLIPS`), by bench number and run number."""


class BenchesAreIn(Conflict):
    """A phone has joined or a run is in: a simulated class would be mistaken for the real one."""

    sentence = N_("A bench has joined, so nothing is simulated any more. Rehearse in another practical.")


def rehearse(
    database: Database, *, actor: TeacherIdentity, practical_id: int, seed: int, now: datetime
) -> int:
    """Fill a practical with simulated benches, two of them with a slip; how many runs there are.

    An earlier rehearsal is replaced. Raises `BenchesAreIn` once a phone has joined or a run is in, and
    `WrongState` in a finished practical.
    """
    details = practical_details(database, actor=actor, practical_id=practical_id)
    entries = simulated_entries(details.plan, seed)  # outside the transaction
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.state == PracticalState.FINISHED:
            raise WrongState(practical.state)
        if a_bench_has_joined(session, practical.id):
            raise BenchesAreIn()
        remove_rehearsal_rows(session, practical.id)
        for number, own in entries.items():
            bench = add_bench(session, practical.id, number, now, simulated=True)
            bench.progress = BenchProgress.SENT
            for place, entry in enumerate(own, start=1):
                columns = columns_of(entry)
                run = add_run(session, bench, place, secrets.token_hex(16), columns["body_digest"], now)
                add_version(session, run, None, now, columns)
        raise_revision(practical)
    return sum(len(own) for own in entries.values())


def end_rehearsal(database: Database, *, actor: TeacherIdentity, practical_id: int) -> int:
    """Remove everything that was simulated; how many runs that were."""
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        removed = remove_rehearsal_rows(session, practical.id)
        raise_revision(practical)
        return removed


def simulated_entries(plan: Plan, seed: int, slipping: Slips | None = None) -> dict[int, list[RunEntry]]:
    """A class as the plan would have it, by bench number.

    Where no slips are named, there are two if there are benches enough. Which benches slip, and from how many
    on, is our own choice.
    """
    if slipping is None:
        slipping = {3: {2: PLANTED[0]}, 5: {1: PLANTED[1]}} if plan.planned_benches >= 6 else {}
    by_step: dict[Decimal, list[SimulatedBench]] = {}
    for number in range(1, plan.planned_benches + 1):
        line = plan.for_bench(number)
        step = line.thermometer_step_K or plan.thermometer_step_K
        by_step.setdefault(step, []).append(_bench(plan, line, slipping.get(number, {})))
    rng = np.random.default_rng(seed)
    entries: dict[int, list[RunEntry]] = {number: [] for number in range(1, plan.planned_benches + 1)}
    for step, benches in by_step.items():
        decimals = max(1, -int(step.normalize().as_tuple().exponent))
        for run in simulate_class(rng, _truth(plan, benches, step)):
            entries[int(run.recorded.bench)].append(_checked(plan, run, decimals))
    return entries


def _bench(plan: Plan, line: BenchPlanLine, slips: Mapping[int, str]) -> SimulatedBench:
    mass_kg = float(line.shot_mass_kg or USUAL_MASS_KG)
    length_m = float(line.tube_length_m or plan.tube_length_m)
    allowance_m = float(line.end_allowance_m or 0)
    if plan.depth_measured:
        allowance_m = _caps_m(length_m) + _depth_m(plan, mass_kg, length_m)
    return SimulatedBench(
        bench=str(line.number),
        shot_mass_kg=mass_kg,
        inversions=int(line.inversions or plan.inversions),
        second_inversions=line.second_inversions,
        runs=line.runs or RUNS,
        tube_length_m=length_m,
        end_allowance_m=allowance_m,
        start_temperature_C=None if line.start_temperature_C is None else float(line.start_temperature_C),
        slips=slips,
    )


def _caps_m(length_m: float) -> float:
    """What both caps take together, of a short tube a quarter at most; to the millimetre."""
    return round(min(USUAL_CAPS_M, length_m / 4), 3)


def _depth_m(plan: Plan, mass_kg: float, length_m: float) -> float:
    """How deep the shot settles: caps and shot take half the tube at most; to the millimetre."""
    bore_m = USUAL_BORE_M if plan.bore_m is None else float(plan.bore_m)
    depth_m = settled_depth(mass_kg, bore_m, MATERIALS[plan.material].density_kg_per_m3)
    return round(max(0.001, min(depth_m, length_m / 2 - _caps_m(length_m))), 3)


def _truth(plan: Plan, benches: Sequence[SimulatedBench], step_K: Decimal) -> SimulatedPractical:
    room, sink = plan.room_temperature_C, plan.heat_sink_J_per_K
    return SimulatedPractical(
        benches=tuple(benches),
        heat_capacity_J_per_kg_K=float(plan.accepted_J_per_kg_K),
        heat_sink_J_per_K=float(Kit.heat_sink_J_per_K if sink is None else sink),
        gravity_m_per_s2=float(plan.gravity_m_per_s2),
        room_temperature_C=ROOM_C if room is None else float(room),
        thermometer_step_K=float(step_K),
        reading_sd_K=float(plan.reading_sd_K),
    )


def _checked(plan: Plan, run: SimulatedRun, decimals: int) -> RunEntry:
    recorded, number = run.recorded, int(run.recorded.bench)
    if plan.depth_measured:
        caps_m = _caps_m(float(plan.for_bench(number).tube_length_m or plan.tube_length_m))
        depth_m = recorded.end_allowance_m - caps_m
        recorded = replace(recorded, caps_m=caps_m, settled_depth_m=depth_m)
    entry = typed_entry(recorded, number, decimals)
    check_entry(entry)
    return entry
