"""The class behind the script: its plan, its simulated runs, and how it stands at a moment.

It is the same for the same answers; what they leave open is as in the demo. Pure, but for what it remembers.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import lru_cache

from cachetools import LRUCache, cached

from app.physics.asking.question import Question, RunAsRead
from app.physics.asking.questions import questions_about
from app.physics.materials import MATERIALS
from app.physics.run import QUANTITIES
from app.practicals.benches.watch import BenchDetails
from app.practicals.board.snapshot import Snapshot, snapshot_of
from app.practicals.lesson.details import BenchPlanLine, Plan, PracticalDetails
from app.practicals.made_up.demo import LEAD, allowance_m, made_up_plan, mass_kg
from app.practicals.made_up.first.script import (
    ASKED_BENCH,
    HELPED_BENCH,
    ODD_BENCH,
    ODD_RUN,
    SCRIPT,
    Moment,
    Shows,
)
from app.practicals.made_up.rehearsal import PLANTED, simulated_entries
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.reading import RunDetails
from app.records.choices import ActorKind, PracticalState

SEED = 20_320_420  # invented
BEGINS = datetime(2032, 4, 15, 9, 0, tzinfo=UTC)  # invented
NOBODY = 0
"""The number of a practical, a department and a teacher that no record has."""
TEN_TIMES = 10
"""By how much the mass is wrong about which a phone asks."""


def plan_of(benches: int, material: str) -> Plan:
    """A plan with three masses, which fill the tube as far as the demo's lead does."""
    metal = MATERIALS[material]
    heavier = metal.density_kg_per_m3 / LEAD.density_kg_per_m3
    masses_kg = {number: round(mass_kg(number) * heavier, 2) for number in range(1, benches + 1)}
    return made_up_plan(
        metal,
        title="",
        held_on=BEGINS.date(),
        planned_benches=benches,
        questions_asked=True,
        bench_plans=tuple(
            BenchPlanLine(number, shot_mass_kg=Decimal(str(mass)), end_allowance_m=allowance_m(mass, metal))
            for number, mass in masses_kg.items()
        ),
    )


@lru_cache(maxsize=16)
def _entries(benches: int, material: str) -> Mapping[int, list[RunEntry]]:
    return simulated_entries(plan_of(benches, material), SEED, {ODD_BENCH: {ODD_RUN: PLANTED[0]}})


@cached(LRUCache(64), condition=threading.Condition())
def class_at(benches: int, material: str, place: int) -> Snapshot:
    """The class at this place of the script, as the wall and the desk would have it.

    Whoever asks while it is being worked out waits for that answer.
    """
    moment, plan = SCRIPT[place], plan_of(benches, material)
    runs_of = runs_by_bench(benches, moment.runs)
    joined = [number for number in range(1, benches + 1) if number <= moment.joined * benches]
    details = PracticalDetails(
        practical_id=NOBODY,
        department_id=NOBODY,
        teacher_id=NOBODY,
        teacher_name="",
        department_name="",
        plan=plan,
        state=PracticalState.COLLECTING,
        join_code=None,
        wifi_name=None,
        created_at=BEGINS,
        opened_at=BEGINS,
        finished_at=None,
        board_step=moment.board,
        board_paused=False,
        bench_results_shown=True,
        is_demo=True,
        revision=place,
        presence=place,
    )
    return snapshot_of(
        details,
        tuple(_bench(number, moment, runs_of[number]) for number in joined),
        tuple(
            _run(number, place_of_run, entry, moment)
            for number in joined
            for place_of_run, entry in enumerate(
                _entries(benches, material)[number][: runs_of[number]], start=1
            )
        ),
    )


def runs_by_bench(benches: int, runs: float) -> dict[int, int]:
    """How many runs each bench has sent; the one whose phone asks is the last of each round."""
    order = [(ASKED_BENCH + place) % benches + 1 for place in range(benches)]
    rounds, share = int(runs), runs - int(runs)
    return {number: rounds + (1 if place < int(share * benches) else 0) for place, number in enumerate(order)}


def question_on_phone(benches: int, material: str) -> Question:
    """What the phone of a bench asks that typed ten times its mass."""
    meant_g = _entries(benches, material)[ASKED_BENCH][0].shot_mass.value * 1000
    mass = QUANTITIES["shot_mass"].read(f"{meant_g * TEN_TIMES:.0f}")
    typical = plan_of(benches, material).typical_run(ASKED_BENCH, 1)
    return questions_about(RunAsRead({"shot_mass": mass}), typical)[0]


def _bench(number: int, moment: Moment, runs: int) -> BenchDetails:
    now = BEGINS + timedelta(minutes=moment.minute)
    asks = moment.shows is Shows.NEEDS and number == HELPED_BENCH
    return BenchDetails(
        bench_id=number,
        number=number,
        bench_key="",
        joined_at=BEGINS,
        safety_acknowledged_at=BEGINS,
        progress=moment.progress,
        counted_so_far=None,
        waiting_to_send=0,
        last_seen_at=now,
        asked_for_help_at=now if asks else None,
        open_to_a_phone=False,
        phones=1,
        runs=runs,
        simulated=True,
    )


def _run(number: int, place: int, entry: RunEntry, moment: Moment) -> RunDetails:
    return RunDetails(
        run_id=100 * number + place,
        bench_id=number,
        bench_number=number,
        number=place,
        version=1,
        run_revision=1,
        entry=entry,
        set_aside=moment.decided and (number, place) == (ODD_BENCH, ODD_RUN),
        simulated=True,
        entered_by=ActorKind.SIMULATOR,
        first_sent_at=BEGINS + timedelta(minutes=moment.minute),
        start_read_at=None,
        client_time=None,
        corrections=0,
    )
