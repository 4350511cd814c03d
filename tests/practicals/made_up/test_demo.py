"""The demo is a whole made-up class that went in the way a real one does."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from math import pi
from typing import Any

import pytest

from app.physics.run import LabelledReadings
from app.practicals.benches.joining import join_bench
from app.practicals.benches.watch import benches_in
from app.practicals.board.reveal import BOARD_STEPS
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import plan_practical
from app.practicals.made_up.demo import SLIPS, demo_plan, load_demo, typed_entry
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import sign_in
from app.practicals.runs.reading import runs_in
from app.records.engine import Database
from app.records.models import Bench, RunVersion
from tests.practicals.a_class import NOW, a_plan
from tests.practicals.seen import practicals_of_department

HERE = "127.0.0.1"


def test_the_demo_class_is_whole_and_its_slips_are_found(database: Database) -> None:
    demo = load_demo(database, now=NOW)
    snapshot = class_snapshot(database, demo.practical_id, actor=demo.teacher)
    assert snapshot.practical.is_demo
    assert (snapshot.practical.state, snapshot.practical.join_code) == ("collecting", demo.join_code)
    assert snapshot.board.step == BOARD_STEPS[0]
    assert len(snapshot.benches) == 12
    assert all(bench.safety_acknowledged_at for bench in snapshot.benches)
    assert not any(run.simulated for run in snapshot.runs)
    assert {run.entry.shot_mass.unit for run in snapshot.runs} == {"g", "kg"}
    assert any("," in run.entry.end_temperature.raw for run in snapshot.runs)
    assert snapshot.result is not None
    named = {
        (run.readings.bench, run.readings.run): run.suspected_slip.slip
        for run in snapshot.result.runs
        if run.suspected_slip
    }
    assert named == {(bench, str(n)): slip for bench, own in SLIPS.items() for n, slip in own.items()}
    joined = join_bench(database, code=demo.join_code, bench_number=13, now=NOW)
    assert joined.bench.bench_number == 13, "left for a visitor"


def test_loading_again_makes_a_new_password_and_the_same_class_once(database: Database) -> None:
    first = load_demo(database, now=NOW)
    signed = sign_in(database, login=first.teacher.login, password=first.password, address=HERE, now=NOW)
    own = plan_practical(database, actor=signed.teacher, plan=a_plan(title="My own"), now=NOW)
    assert not class_snapshot(database, own.practical_id, actor=signed.teacher).practical.is_demo
    runs = [run.entry for run in class_snapshot(database, first.practical_id, actor=first.teacher).runs]
    second = load_demo(database, now=NOW)
    assert first.password != second.password
    assert teacher_for_token(database, token=signed.token, now=NOW) is None
    again = sign_in(database, login=second.teacher.login, password=second.password, address=HERE, now=NOW)
    left = {p.practical_id for p in practicals_of_department(database, actor=again.teacher)}
    assert left == {own.practical_id, second.practical_id}
    assert [
        run.entry for run in class_snapshot(database, second.practical_id, actor=second.teacher).runs
    ] == runs


def test_the_demo_class_has_worked_for_a_while_and_in_the_order_of_a_lesson(
    sqlite_database: Database,
) -> None:
    demo = load_demo(sqlite_database, now=NOW)
    with sqlite_database.reading() as session:
        benches = session.query(Bench).order_by(Bench.number).all()
        versions = session.query(RunVersion).all()
        assert all(NOW - timedelta(minutes=38) < bench.joined_at for bench in benches)
        joined = [bench.joined_at for bench in benches]
        assert sorted(joined) == joined
        assert len(set(joined)) == 12, "one after the other"
        for bench in benches:
            assert bench.safety_acknowledged_at is not None
            assert timedelta(0) < bench.safety_acknowledged_at - bench.joined_at < timedelta(minutes=1)
        assert max(version.at for version in versions) < NOW
        assert {version.at - version.start_read_at for version in versions} == {timedelta(minutes=3)}  # type: ignore[operator]
        first = min(version.at for version in versions)
        assert first > max(bench.safety_acknowledged_at for bench in benches)  # type: ignore[type-var, operator]
        found = benches_in(session, demo.practical_id)
    assert sorted(bench.runs for bench in found) == [1, 2, *[3] * 10], "some are slower"


def test_the_demo_s_plan_follows_from_its_tube_and_its_masses() -> None:
    """m / (0.6 · 11340 kg/m³ · π d²/4) of settled shot beside the caps; a start of half the warming
    m·g·h·N / (m·c + C) below the room, to half a degree."""
    plan = demo_plan(NOW)
    assert [line.number for line in plan.bench_plans] == list(range(1, 15))
    assert plan.planned_benches == 14
    assert plan.delete_after == date(2032, 3, 5)
    bore_m, caps_m, sink_J_per_K = 0.038, 0.03, 38.0
    assert float(plan.bore_m or 0) == bore_m
    for line in plan.bench_plans:
        mass, allowance = float(line.shot_mass_kg or 0), float(line.end_allowance_m or 0)
        depth_m = mass / (0.6 * 11340 * pi * bore_m**2 / 4)
        assert allowance == pytest.approx(caps_m + depth_m, abs=0.0005)
        energy = mass * 9.80665 * (1.0 - allowance) * plan.inversions
        warming = energy / (mass * float(plan.accepted_J_per_kg_K) + sink_J_per_K)
        assert line.start_temperature_C is not None
        assert float(line.start_temperature_C) == pytest.approx(21.0 - warming / 2, abs=0.25)
        assert line.start_temperature_C % Decimal("0.5") == 0
    masses = [line.shot_mass_kg for line in plan.bench_plans]
    assert masses[:3] == masses[3:6]
    assert len(set(masses)) == 3
    assert plan.end_allowance_m == plan.bench_plans[1].end_allowance_m


def test_the_demo_s_benches_type_as_benches_do(sqlite_database: Database) -> None:
    demo = load_demo(sqlite_database, now=NOW)
    with sqlite_database.reading() as session:
        runs = runs_in(session, demo.practical_id)
    for run in runs:
        entry, number = run.entry, run.bench_number
        assert (entry.shot_mass.unit == "kg") is (number in (5, 10))
        assert ("," in entry.end_temperature.raw) is (number in (3, 7, 11))
        for name, places in (("tube_length", 1), ("end_allowance", 1), ("end_temperature", 1)):
            raw = getattr(entry, name).raw.replace(",", ".")
            assert len(raw.partition(".")[2]) == places, name
        assert entry.shot_mass.raw.isdigit() or number in (5, 10)
        assert entry.of["room_temperature"].value == 21
        assert entry.inversions.raw.isdigit()


def test_a_demo_password_is_three_words_of_chance(sqlite_database: Database) -> None:
    parts = load_demo(sqlite_database, now=NOW).password.split("-")
    assert [len(part) for part in parts] == [6, 6, 6]


@pytest.mark.parametrize("in_two_parts", [True, False])
@pytest.mark.parametrize("bench", [1, 3, 5, 15])
def test_a_simulated_run_is_typed_to_the_places_of_its_instruments(bench: int, in_two_parts: bool) -> None:
    """Grams and kilograms, points and commas."""
    parts: dict[str, Any] = {"caps_m": 0.1213, "settled_depth_m": 0.2347} if in_two_parts else {}
    recorded = LabelledReadings(
        *(str(bench), "1", 0.3456, 0.9871, 0.356, 50.0, 19.23, 21.47), room_temperature_C=20.61, **parts
    )
    entry = typed_entry(recorded, bench)
    places = {
        "shot_mass": (0.3456, 0.0005),
        "tube_length": (0.9871, 0.0005),
        "end_allowance": (0.356, 0.001),
        "caps": (0.1213, 0.0005),
        "settled_depth": (0.2347, 0.0005),
        "inversions": (50.0, 0.0),
        "start_temperature": (19.23, 0.05),
        "end_temperature": (21.47, 0.05),
        "room_temperature": (20.61, 0.05),
    }
    read = {name: one for name in places if (one := getattr(entry, name)) is not None}
    assert len(read) == (9 if in_two_parts else 7)
    for name, one in read.items():
        value, half = places[name]
        assert float(one.value) == pytest.approx(value, abs=half + 1e-9), name
        assert ("," in one.raw) <= (bench % 4 == 3), name
    assert ("kg" in read["shot_mass"].raw) == (bench % 5 == 0)
