"""The demo is a whole made-up class that went in the way a real one does."""

from __future__ import annotations

from app.practicals.benches.joining import join_bench
from app.practicals.board.reveal import BOARD_STEPS
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import plan_practical, practicals_of_department
from app.practicals.made_up.demo import SLIPS, load_demo
from app.practicals.people.teachers import sign_in, teacher_for_token
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_plan

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
