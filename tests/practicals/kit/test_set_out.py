"""What a lesson needs of the kit, whole; and a piece by itself as it stands in the list."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from app.practicals.kit.pieces import one_piece, pieces_of_department
from app.practicals.kit.set_out import LotNeeded, set_out
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, open_practical
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.a_kit import DAY, a_kit, bench_kit


def test_a_day_s_lessons_need_their_pieces_with_what_is_short_shared_or_due(
    sqlite_database: Database,
) -> None:
    head = a_teacher(sqlite_database, is_head=True)
    theirs = a_teacher(sqlite_database, "dr-roy", department="Chemistry", is_head=True)
    kit, other_kit = a_kit(sqlite_database, head, 3), a_kit(sqlite_database, theirs, 1)
    plan = a_plan(
        held_on=DAY,
        planned_benches=4,
        bench_plans=(BenchPlanLine(1, Decimal("0.5")), BenchPlanLine(3, Decimal("3.5"))),
        kits=(
            bench_kit(kit, 1, "T2", "1", "Pb 1"),
            bench_kit(kit, 2, "T2", "3", "B1", "Pb 1"),
            bench_kit(kit, 3, "T1", "3", "B1", "Fe 1"),
        ),
    )
    planned = plan_practical(sqlite_database, actor=head, plan=plan, now=NOW)
    for who, other in (
        (theirs, replace(plan, kits=(bench_kit(other_kit, 1, "T1"),))),
        (head, replace(plan, held_on=DAY + timedelta(days=1))),
        (head, finished := replace(plan, title="Over")),
    ):
        made = plan_practical(sqlite_database, actor=who, plan=other, now=NOW)
        if other is finished:
            open_practical(sqlite_database, actor=who, practical_id=made.practical_id, now=NOW)
            finish_practical(sqlite_database, actor=who, practical_id=made.practical_id, now=NOW)
    found = set_out(sqlite_database, actor=head, day=DAY)
    there = {piece.label: piece for piece in pieces_of_department(sqlite_database, actor=head)}
    [lesson] = found.lessons
    assert lesson.practical.practical_id == planned.practical_id
    assert [bench.number for bench in lesson.benches] == [1, 2, 3, 4]
    assert lesson.lots == (
        LotNeeded(there["Pb 1"], Decimal("0.5"), 1, 1),
        LotNeeded(there["Fe 1"], Decimal("3.5"), 1, 0),
        LotNeeded(None, Decimal(0), 0, 1),
    )
    assert [lot.is_short for lot in lesson.lots] == [False, True, False], "of the steel there are 3 kg"
    assert not replace(lesson.lots[1], mass_kg=Decimal(3)).is_short
    assert lesson.shared == ((there["T2"], (1, 2)), (there["3"], (2, 3)))
    assert lesson.other_metal == (there["Fe 1"],)
    assert [one.key for one in found.materials] == ["lead"]
    assert [piece.label for piece in found.pieces] == ["T1", "T2", "1", "3", "B1", "Fe 1", "Pb 1"]
    assert found.due == (there["3"],), "which nobody ever checked"
    asked: dict[str, int] = {"practical_id": planned.practical_id}
    assert set_out(sqlite_database, actor=head, day=DAY + timedelta(days=9), **asked) == found
    assert set_out(sqlite_database, actor=theirs, day=DAY, **asked).lessons == ()


def test_a_piece_by_itself_is_as_in_the_list_and_a_thermometer_is_due_on_its_day(
    sqlite_database: Database,
) -> None:
    head = a_teacher(sqlite_database, is_head=True)
    kit = a_kit(sqlite_database, head, 2)
    plan = a_plan(kits=(bench_kit(kit, 1, "T1", "1"),))
    plan_practical(sqlite_database, actor=head, plan=plan, now=NOW)
    listed = pieces_of_department(sqlite_database, actor=head)
    assert [one_piece(sqlite_database, actor=head, piece_id=piece.piece_id) for piece in listed] == listed
    assert [piece.label for piece in listed if piece.used] == ["T1", "1"]
    read, never, tube = (
        next(piece for piece in listed if piece.label == label) for label in ("1", "2", "T2")
    )
    due = DAY + timedelta(days=364)
    assert (read.ice_point_C, read.checked_on, read.due_on) == (Decimal("0.3"), DAY - timedelta(days=1), due)
    assert [read.is_due(due + timedelta(days=off)) for off in (-1, 0, 1)] == [False, True, True]
    assert (never.is_due(DAY), tube.is_due(DAY)) == (True, False)
    assert not replace(never, retired_at=NOW).is_due(DAY)
    assert not replace(read, due_on=None).is_due(due), "checked, and no day was named"
