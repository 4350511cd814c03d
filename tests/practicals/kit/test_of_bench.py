"""What a plan and a run take from the kit, and that they keep it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import select

from app.physics.asking.question import TypicalRun
from app.physics.reading.ice_point import parse_ice_point
from app.practicals.board.snapshot import class_snapshot
from app.practicals.kit.changes import PieceUsed, change_piece, remove_piece, retire_piece
from app.practicals.kit.checks import note_check
from app.practicals.kit.pieces import Figures
from app.practicals.kit.used import practicals_with_piece
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import (
    PlanProblem,
    change_plan,
    copy_practical,
    plan_practical,
    practical_details,
)
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from app.records.models import Run
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher, an_entry, new_key
from tests.practicals.a_kit import DAY, a_kit, bench_kit


@pytest.fixture
def head(database: Database) -> TeacherIdentity:
    return a_teacher(database, is_head=True)


def test_a_bench_gets_the_numbers_of_its_pieces_where_none_were_typed(
    database: Database, head: TeacherIdentity
) -> None:
    kit = a_kit(database, head)
    lines = (
        BenchPlanLine(1, Decimal("0.5")),
        BenchPlanLine(2, Decimal("0.5"), Decimal("1.2"), start_temperature_C=Decimal("18.5")),
        BenchPlanLine(3),
    )
    kits = (bench_kit(kit, 1, "T3", "1"), bench_kit(kit, 2, "T4", "2"), bench_kit(kit, 3, "T5"))
    plan = a_plan(bench_plans=lines, kits=kits, thermometer_step_K=Decimal("0.2"))
    plan = plan_practical(database, actor=head, plan=plan, now=NOW).plan
    one, two, three, four = (plan.for_bench(number) for number in (1, 2, 3, 4))
    assert one.tube_length_m == Decimal("0.995")
    # By hand: 0.5 kg of lead at 11 340 kg/m³ (from memory), six tenths full, in a bore of 5 cm.
    depth = 0.5 / (0.6 * 11340 * 3.14159265 * 0.025**2)
    assert float(one.end_allowance_m or 0) == pytest.approx(0.02 + depth, abs=6e-4)
    assert one.thermometer_step_K == Decimal("0.1")
    assert one.ice_point_C == Decimal("0.3")
    assert two.tube_length_m == Decimal("1.2"), "typed for the bench"
    assert two.ice_point_C is None, "nobody read it"
    assert (three.tube_length_m, three.end_allowance_m) == (Decimal("1.005"), Decimal("0.05")), (
        "no mass, no depth"
    )
    assert (four.tube_length_m, four.thermometer_step_K) == (Decimal("1.00"), Decimal("0.2"))
    plan = replace(plan, room_temperature_C=Decimal("20.5"), bore_m=Decimal("0.04"))
    typical = TypicalRun(
        shot_mass_kg=0.5,
        tube_length_m=0.995,
        inversions=50.0,
        start_temperature_C=20.8,
        room_temperature_C=20.8,
        heat_capacity_J_per_kg_K=128.0,
        density_kg_per_m3=11340.0,
        bore_m=0.05,
    )
    assert plan.typical_run(1, 1) == typical, "20.5 °C as thermometer 1 shows it"
    shown = {"start_temperature_C": 18.3, "room_temperature_C": 20.3}
    second = replace(typical, tube_length_m=1.2, **shown)
    assert plan.typical_run(2, 1, Decimal("-0.2")) == second, "0.2 °C low, as the bench read it in ice"
    assert (plan.typical_run(4, 1).shot_mass_kg, plan.typical_run(4, 1).bore_m) == (None, 0.04)


def test_a_later_check_holds_for_lessons_that_open_after_it_and_for_no_other(
    database: Database, head: TeacherIdentity
) -> None:
    kit = a_kit(database, head)
    plan = a_plan(kits=(bench_kit(kit, 1, "T3", "1"),))
    held = plan_practical(database, actor=head, plan=plan, now=NOW)
    open_practical(database, actor=head, practical_id=held.practical_id, now=NOW)
    later = plan_practical(database, actor=head, plan=plan, now=NOW)
    note_check(
        database,
        actor=head,
        piece_id=kit["1"].piece_id,
        checked_on=DAY,
        reading=parse_ice_point("-0.4"),
        due_on=None,
        today=DAY,
        now=NOW + timedelta(hours=1),
    )
    open_practical(database, actor=head, practical_id=later.practical_id, now=NOW)
    found = [
        practical_details(database, actor=head, practical_id=one.practical_id).plan.for_bench(1).ice_point_C
        for one in (held, later)
    ]
    assert found == [Decimal("0.3"), Decimal("-0.4")]


def test_a_run_keeps_its_pieces_whatever_the_plan_says_later(
    database: Database, head: TeacherIdentity
) -> None:
    kit = a_kit(database, head)
    labels = ("T3", "1", "B1", "Pb 1")
    planned = plan_practical(database, actor=head, plan=a_plan(kits=(bench_kit(kit, 2, *labels),)), now=NOW)
    opened = open_practical(database, actor=head, practical_id=planned.practical_id, now=NOW)
    a_class = AClass(database, head, opened)
    first = enter_run(database, actor=a_class.join(2), key=new_key(), entry=an_entry(), now=NOW)
    without = enter_run(database, actor=a_class.join(1), key=new_key(), entry=an_entry(), now=NOW)
    changed = replace(opened.plan, kits=(bench_kit(kit, 2, "T4", "2"),))
    change_plan(database, actor=head, practical_id=opened.practical_id, plan=changed, now=NOW)
    correct_run(
        database,
        actor=head,
        run_id=first.run_id,
        key=new_key(),
        entry=an_entry(end="21.6"),
        reason="read again",
        now=NOW,
    )
    with database.reading() as session:
        rows = {
            row.id: (row.tube_id, row.thermometer_id, row.balance_id, row.lot_id)
            for row in session.scalars(select(Run))
        }
    assert rows == {
        first.run_id: tuple(kit[label].piece_id for label in labels),
        without.run_id: (None, None, None, None),
    }
    used = {
        label: [one.runs for one in practicals_with_piece(database, actor=head, piece_id=kit[label].piece_id)]
        for label in ("T3", "T4")
    }
    assert used == {"T3": [1], "T4": [0]}, "the run's own tube, and the one that is planned by now"
    (reading, *_rest) = [
        one for one in class_snapshot(database, opened.practical_id, actor=head).readings if one.bench == "2"
    ]
    assert (reading.planned_tube_length_m, reading.ice_point_C) == (1.0, None), "as the plan now says"


def test_a_used_piece_is_retired_and_goes_on_being_named(database: Database, head: TeacherIdentity) -> None:
    kit = a_kit(database, head)
    planned = plan_practical(database, actor=head, plan=a_plan(kits=(bench_kit(kit, 1, "T3"),)), now=NOW)
    tube = kit["T3"].piece_id
    with pytest.raises(PieceUsed):
        remove_piece(database, actor=head, piece_id=tube, now=NOW)
    retire_piece(database, actor=head, piece_id=tube, retired=True, now=NOW)
    stored = practical_details(database, actor=head, practical_id=planned.practical_id).plan
    change_plan(
        database, actor=head, practical_id=planned.practical_id, plan=replace(stored, title="Other"), now=NOW
    )
    stored = practical_details(database, actor=head, practical_id=planned.practical_id).plan
    assert stored.kit_of(1).tube is not None
    copied = copy_practical(
        database, actor=head, practical_id=planned.practical_id, title="Next", held_on=DAY, now=NOW
    )
    assert copied.plan.kits == (), "no new plan takes it"
    (used,) = practicals_with_piece(database, actor=head, piece_id=tube)
    assert (used.title, used.runs) == ("Other", 0)


def test_a_corrected_piece_changes_no_plan_that_took_it(database: Database, head: TeacherIdentity) -> None:
    kit = a_kit(database, head)
    planned = plan_practical(database, actor=head, plan=a_plan(kits=(bench_kit(kit, 1, "T3"),)), now=NOW)
    change_piece(
        database,
        actor=head,
        seen=kit["T3"],
        label="T3",
        figures=Figures(inside_length_m=Decimal("0.9")),
        now=NOW,
    )
    plan = practical_details(database, actor=head, practical_id=planned.practical_id).plan
    assert plan.for_bench(1).tube_length_m == Decimal("0.995")


def test_a_piece_of_another_department_or_kind_is_not_taken(
    database: Database, head: TeacherIdentity
) -> None:
    kit = a_kit(database, head)
    other = a_teacher(database, "dr-roy", department="Chemistry", is_head=True)
    theirs = a_kit(database, other)
    mixed = replace(bench_kit(theirs, 1, "T3"), thermometer=bench_kit(kit, 1, "T4").tube)
    planned = plan_practical(database, actor=head, plan=a_plan(kits=(mixed,)), now=NOW)
    assert planned.plan.kits == ()


def test_a_kit_is_for_a_bench_that_there_can_be(database: Database, head: TeacherIdentity) -> None:
    kit = a_kit(database, head, count=1)
    for number in (0, 100):
        plan = a_plan(kits=(bench_kit(kit, number, "T1"),))
        with pytest.raises(PlanProblem) as refused:
            plan_practical(database, actor=head, plan=plan, now=NOW)
        assert refused.value.field == "kits"
    for number in (1, 99):
        plan = a_plan(kits=(bench_kit(kit, number, "T1"),))
        made = plan_practical(database, actor=head, plan=plan, now=NOW).plan
        assert [line.number for line in made.kits] == [number]


def test_a_tube_that_its_shot_fills_is_refused(database: Database, head: TeacherIdentity) -> None:
    kit = a_kit(database, head)
    plan = a_plan(bench_plans=(BenchPlanLine(1, Decimal(20)),), kits=(bench_kit(kit, 1, "T3"),))
    with pytest.raises(PlanProblem, match="In tube T3 nothing would fall at bench 1"):
        plan_practical(database, actor=head, plan=plan, now=NOW)
    just = (BenchPlanLine(1, end_allowance_m=Decimal("0.995")),)
    with pytest.raises(PlanProblem, match="In tube T3 nothing would fall at bench 1"):
        plan_practical(database, actor=head, plan=replace(plan, bench_plans=just), now=NOW)
    made = plan_practical(database, actor=head, plan=a_plan(), now=NOW).practical_id
    with pytest.raises(PlanProblem, match="In tube T3 nothing would fall at bench 1"):
        change_plan(database, actor=head, practical_id=made, plan=plan, now=NOW)
