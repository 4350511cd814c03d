"""A rehearsal is marked, gone with one action, and never mixed with readings."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.practicals.benches.joining import find_practical_by_code, join_bench
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.lesson.plan import change_plan, plan_practical
from app.practicals.lesson.states import WrongState, finish_practical, open_practical
from app.practicals.made_up.rehearsal import BenchesAreIn, end_rehearsal, rehearse, simulated_entries
from app.practicals.runs.history import history
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.models import Bench, Run, RunVersion
from tests.practicals.a_class import NOW, a_plan, a_teacher, an_entry, new_key


@pytest.fixture
def planned(database: Database) -> dict[str, object]:
    teacher = a_teacher(database)
    made = plan_practical(database, actor=teacher, plan=a_plan(planned_benches=6), now=NOW)
    return {"actor": teacher, "practical_id": made.practical_id}


def test_a_rehearsal_fills_every_planned_bench_and_says_that_it_is_one(database, planned) -> None:
    assert rehearse(database, seed=1, now=NOW, **planned) == 18
    snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
    assert snapshot.rehearsal
    assert [bench.number for bench in snapshot.benches] == [1, 2, 3, 4, 5, 6]
    assert all(run.simulated and run.entered_by == "simulator" for run in snapshot.runs)
    assert not any(run.waits_for_an_answer for run in snapshot.runs), "no phone has left anything to ask"
    assert snapshot.result is not None
    flagged = {(run.readings.bench, run.readings.run) for run in snapshot.result.runs if run.flags}
    assert {("3", "2"), ("5", "1")} <= flagged, "the two planted slips are there to be found"


def test_the_same_seed_gives_the_same_class(database, planned) -> None:
    rehearse(database, seed=5, now=NOW, **planned)
    first = [
        run.entry for run in class_snapshot(database, planned["practical_id"], actor=planned["actor"]).runs
    ]
    rehearse(database, seed=5, now=NOW, **planned)
    second = [
        run.entry for run in class_snapshot(database, planned["practical_id"], actor=planned["actor"]).runs
    ]
    assert first == second
    rehearse(database, seed=6, now=NOW, **planned)
    assert first != [
        run.entry for run in class_snapshot(database, planned["practical_id"], actor=planned["actor"]).runs
    ]


def test_one_action_removes_every_trace_and_nothing_of_another_practical(database, planned) -> None:
    other = plan_practical(database, actor=planned["actor"], plan=a_plan(), now=NOW).practical_id
    of_other = {"actor": planned["actor"], "practical_id": other}
    open_practical(database, now=NOW, **of_other)
    enter_run(database, key=new_key(), entry=an_entry(), now=NOW, bench_number=2, **of_other)
    rehearse(database, seed=1, now=NOW, **planned)
    assert end_rehearsal(database, **planned) == 18
    with database.reading() as session:
        assert [session.query(table).count() for table in (Bench, Run, RunVersion)] == [1, 1, 1]
    snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
    assert (snapshot.runs, snapshot.result, snapshot.rehearsal) == ((), None, False)


def test_opening_removes_the_rehearsal_and_real_runs_stand_alone(database, planned) -> None:
    rehearse(database, seed=1, now=NOW, **planned)
    opened = open_practical(database, now=NOW, **planned)
    assert class_snapshot(database, planned["practical_id"], actor=planned["actor"]).benches == ()
    bench = join_bench(database, code=opened.join_code or "", bench_number=2, now=NOW).bench
    enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
    assert not snapshot.rehearsal
    assert [(run.bench_number, run.number, run.simulated) for run in snapshot.runs] == [(2, 1, False)]
    kinds = [line.kind for line in history(database, **planned)]
    assert kinds.count("run entered") == 1


def test_the_first_phone_takes_the_place_of_all_that_was_simulated(database, planned) -> None:
    """Also at a bench whose number a simulated one had."""
    opened = open_practical(database, now=NOW, **planned)
    rehearse(database, seed=1, now=NOW, **planned)
    found = find_practical_by_code(database, code=opened.join_code or "", address="", now=NOW)
    assert found.joined_benches == (), "simulated benches do not look taken to the class"
    join_bench(database, code=opened.join_code or "", bench_number=2, now=NOW)
    with database.reading() as session:
        assert [(bench.number, bench.simulated) for bench in session.query(Bench)] == [(2, False)]
        assert session.query(Run).count() == 0
    with pytest.raises(BenchesAreIn):
        rehearse(database, seed=1, now=NOW, **planned)
    with database.reading() as session:
        assert session.query(Run).count() == 0


def test_a_run_typed_by_the_teacher_ends_the_rehearsal_too(database, planned) -> None:
    open_practical(database, now=NOW, **planned)
    rehearse(database, seed=1, now=NOW, **planned)
    enter_run(database, key=new_key(), entry=an_entry(), now=NOW, bench_number=2, **planned)
    with database.reading() as session:
        assert [(bench.number, bench.simulated) for bench in session.query(Bench)] == [(2, False)]
        assert [run.simulated for run in session.query(Run)] == [False]


def test_nothing_simulated_stays_in_a_finished_practical_and_nothing_is_added(database, planned) -> None:
    open_practical(database, now=NOW, **planned)
    rehearse(database, seed=1, now=NOW, **planned)
    finish_practical(database, now=NOW, **planned)
    with pytest.raises(WrongState):
        rehearse(database, seed=1, now=NOW, **planned)
    with database.reading() as session:
        assert [session.query(table).count() for table in (Bench, Run)] == [0, 0]


def test_a_rehearsal_does_what_the_plan_says(database, planned) -> None:
    """Runs for each bench, the planner's heat sink, the thermometer's decimals."""
    lines = (BenchPlanLine(1, runs=2), BenchPlanLine(2, runs=5, shot_mass_kg=Decimal("0.25")))
    changes = {"bench_plans": lines, "planned_benches": 3, "thermometer_step_K": Decimal("0.05")}
    mean_J_per_kg_K = {}
    for sink in (0, 60):
        plan = a_plan(**changes, heat_sink_J_per_K=Decimal(sink))
        change_plan(database, plan=plan, now=NOW, **planned)
        rehearse(database, seed=1, now=NOW, **planned)
        snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
        assert [bench.runs for bench in snapshot.benches] == [2, 5, 3]
        readings = [run.entry.end_temperature.raw.replace(",", ".") for run in snapshot.runs]
        assert all(len(raw.partition(".")[2]) == 2 for raw in readings)
        assert any(raw.endswith("5") for raw in readings), "read to 0.05, not to 0.1"
        assert snapshot.result is not None
        own = [run for run in snapshot.result.runs if run.readings.bench == "2"]
        mean_J_per_kg_K[sink] = sum(run.apparent_heat_capacity_J_per_kg_K or 0.0 for run in own) / len(own)
    # C/m = 60 J/K over 0.25 kg: the apparent value lies 240 J/(kg·K) higher than without a heat sink.
    assert mean_J_per_kg_K[60] - mean_J_per_kg_K[0] == pytest.approx(240, rel=0.15)


def test_each_bench_reads_its_own_thermometer(database, planned) -> None:
    lines = (BenchPlanLine(2, thermometer_step_K=Decimal("0.5")),)
    change_plan(database, plan=a_plan(planned_benches=4, bench_plans=lines), now=NOW, **planned)
    rehearse(database, seed=1, now=NOW, **planned)
    snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
    assert [bench.number for bench in snapshot.benches] == [1, 2, 3, 4]
    read = {
        number: [run.entry.end_temperature.value for run in snapshot.runs_of(number)]
        for number in range(1, 5)
    }
    assert all(value % Decimal("0.5") == 0 for value in read[2])
    assert any(value % Decimal("0.5") for number in (1, 3, 4) for value in read[number])


def test_benches_that_measure_their_depth_do_so_in_the_rehearsal_too(database, planned) -> None:
    """Else the lesson page warns of one end allowance for all, which the plan does not have."""
    lines = tuple(
        BenchPlanLine(number, shot_mass_kg=Decimal("0.25") if number % 2 else Decimal("0.8"))
        for number in range(1, 7)
    )
    plan = a_plan(planned_benches=6, bench_plans=lines, depth_measured=True, bore_m=Decimal("0.038"))
    change_plan(database, plan=plan, now=NOW, **planned)
    rehearse(database, seed=1, now=NOW, **planned)
    snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
    assert snapshot.result is not None
    assert snapshot.result.one_allowance is None
    light, heavy = (snapshot.runs_of(number)[0].entry for number in (1, 2))
    assert light.caps.value == heavy.caps.value > 0
    # m / (0.6 · 11340 kg/m³ · π (0.038 m)²/4), worked by hand: 3.2 cm and 10.4 cm deep.
    assert (light.settled_depth.value, heavy.settled_depth.value) == (Decimal("0.032"), Decimal("0.104"))
    assert heavy.end_allowance.value == heavy.caps.value + heavy.settled_depth.value


def test_a_colleague_cannot_rehearse_in_anothers_practical(database, planned) -> None:
    colleague = a_teacher(database, "colleague")
    with pytest.raises(NotYourPractical):
        rehearse(database, actor=colleague, practical_id=planned["practical_id"], seed=1, now=NOW)


def test_what_the_plan_leaves_open_is_usual_in_a_rehearsal() -> None:
    """400 g, three runs, a room of 21 °C, a start of half the expected warming below it."""
    for entry in simulated_entries(a_plan(planned_benches=2), seed=4)[1]:
        assert entry.shot_mass.value == Decimal("0.4")
        assert entry.of["room_temperature"].value == 21
        assert 17 < entry.start_temperature.value < 21
    assert [len(own) for own in simulated_entries(a_plan(planned_benches=7), 4).values()] == [3] * 7
    cold = a_plan(planned_benches=1, room_temperature_C=Decimal("15.5"))
    assert simulated_entries(cold, 4)[1][0].of["room_temperature"].value == Decimal("15.5")


@pytest.mark.parametrize(("length", "caps"), [("1.00", None), ("0.06", "0.015")])
def test_caps_and_shot_take_half_of_a_rehearsed_tube_at_most(length: str, caps: str | None) -> None:
    """2 kg of lead would be 94 cm deep in a bore of 2 cm; both caps take a quarter of the tube at most."""
    line = BenchPlanLine(1, shot_mass_kg=Decimal(2))
    long = {"tube_length_m": Decimal(length), "bore_m": Decimal("0.02")}
    plan = a_plan(**long, bench_plans=(line,), planned_benches=1, depth_measured=True)
    entry = simulated_entries(plan, seed=4)[1][0]
    assert entry.end_allowance.value == entry.caps.value + entry.settled_depth.value == Decimal(length) / 2
    assert caps is None or entry.caps.value == Decimal(caps)


def test_a_tube_without_an_end_allowance_is_rehearsed_without_one() -> None:
    plan = a_plan(planned_benches=1, end_allowance_m=Decimal(0))
    assert simulated_entries(plan, seed=4)[1][0].end_allowance.value == 0


def test_two_slips_are_planted_from_six_benches_on() -> None:
    for benches, planted in ((5, False), (6, True)):
        entries = simulated_entries(a_plan(planned_benches=benches), seed=4)
        assert (entries[3][1].inversions.value == 25) is planted
        assert (entries[5][0].end_temperature.value < entries[5][0].start_temperature.value) is planted


@pytest.mark.parametrize(("step", "decimals"), [("1", 1), ("0.5", 1), ("0.1", 1), ("0.02", 2), ("0.100", 1)])
def test_a_rehearsal_is_read_to_the_decimals_of_its_thermometer(step: str, decimals: int) -> None:
    plan = a_plan(planned_benches=1, thermometer_step_K=Decimal(step))
    raw = simulated_entries(plan, seed=4)[1][0].end_temperature.raw
    assert len(raw.partition(".")[2]) == decimals


def test_a_rehearsed_bench_makes_its_second_run_with_the_second_count(database, planned) -> None:
    line = BenchPlanLine(1, runs=3, inversions=80, second_inversions=40)
    change_plan(database, plan=a_plan(bench_plans=(line,), planned_benches=1), now=NOW, **planned)
    rehearse(database, seed=1, now=NOW, **planned)
    snapshot = class_snapshot(database, planned["practical_id"], actor=planned["actor"])
    assert [run.entry.readings.inversions for run in snapshot.runs] == [80, 40, 80]
