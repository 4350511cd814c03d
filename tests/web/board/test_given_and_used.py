"""The report's table of what the plan gave each bench and what the bench used."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from app.exports.papers.report_parts import Numbers
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.lesson.details import BenchPlanLine, Typed
from app.web.board.report_benches import given_and_used
from tests.web.board.conftest import Wall
from tests.web.board.test_report_content import with_plan


@pytest.fixture
def snapshot(wall: Wall) -> Snapshot:
    return class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher)


def _table(snapshot: Snapshot) -> list[list[str]]:
    (table,) = given_and_used(snapshot).blocks
    assert isinstance(table, Numbers)
    return [[str(cell) for cell in row] for row in (table.head, *table.rows)]


def _weighed(snapshot: Snapshot, number: int, *grams: str) -> Snapshot:
    """More runs at a bench, each with its mass, and a start of 67 °F: 19.444… °C (NIST SP 811, B.8)."""
    first = snapshot.runs[0]
    start = Typed("67 °F", (Decimal(67) - 32) * 5 / 9, "°F")
    runs = [
        replace(
            first,
            bench_number=number,
            number=place,
            entry=replace(
                first.entry,
                of={
                    **first.entry.of,
                    "shot_mass": Typed(mass, Decimal(mass) / 1000, "g"),
                    "start_temperature": start,
                },
            ),
        )
        for place, mass in enumerate(grams, 1)
    ]
    return replace(snapshot, runs=(*snapshot.runs, *runs))


def test_a_plan_for_all_benches_gives_inversions_alone_and_each_bench_has_a_row(snapshot: Snapshot) -> None:
    used = [["500", "20", "50"], ["1000", "20", "60"], ["250", "20", "40"]] * 2 + [["–", "–", "–"]] * 2
    assert _table(with_plan(snapshot, bench_plans=())) == [
        ["bench", "shot weighed / g", "start read / °C", "inversions given", "inversions typed"],
        *(
            [str(number), mass, start, "50", typed]
            for number, (mass, start, typed) in enumerate(used, 1)
        ),
    ]  # fmt: skip


def test_what_one_bench_has_of_its_own_is_a_column_with_everybody_s_beside_it(snapshot: Snapshot) -> None:
    """Four figures are told one by one, more from the least to the most."""
    own = BenchPlanLine(
        1,
        shot_mass_kg=Decimal("0.5005"),
        tube_length_m=Decimal("0.985"),
        end_allowance_m=Decimal("0.075"),
        start_temperature_C=Decimal("-0.5"),
        thermometer_step_K=Decimal("0.5"),
        second_inversions=70,
        ice_point_C=Decimal("-0.25"),
    )
    given = with_plan(snapshot, bench_plans=(own,), planned_benches=3)
    given = _weighed(given, 8, "500", "501.5", "500", "502")
    given = _weighed(given, 9, "503", "501", "502", "500.5", "501")
    rows = _table(given)
    mass, tube, ends = ["shot given / g", "shot weighed / g"], "tube", "ends"
    assert rows[0] == [
        "bench",
        *mass,
        *(f"{part} {how} / cm" for part in (tube, ends) for how in ("given", "measured")),
        *("start given / °C", "start read / °C", "inversions given", "inversions typed"),
        *("thermometer step / K", "thermometer in ice / °C"),
    ]
    of_all = ["100", "5", "8"]
    assert rows[1] == [
        *("1", "500.5", "500", "98.5", "100", "7.5", "8", "−0.5", "20", "50 · 70", "50", "0.5", "−0.25")
    ]
    assert rows[2:4] == [
        ["2", "–", "1000", "100", *of_all, "–", "20", "50", "60", "0.1", "–"],
        ["3", "–", "250", "100", *of_all, "–", "20", "50", "40", "0.1", "–"],
    ]
    assert [row[0] for row in rows[4:]] == ["4", "5", "6", "8", "9"], "planned, or with a run"
    assert [row[2] for row in rows[7:]] == ["500 · 501.5 · 500 · 502", "500.5 to 503"]
    assert [row[8] for row in rows[7:]] == ["19.44", "19.44"]
    measured = _table(with_plan(given, depth_measured=True))
    assert "ends given / cm" not in measured[0], "each bench measures it"


def test_a_second_count_is_told_before_the_bench_has_any_run(snapshot: Snapshot) -> None:
    lines = (BenchPlanLine(7, second_inversions=70), BenchPlanLine(8, inversions=60))
    given = [row[3] for row in _table(with_plan(snapshot, bench_plans=lines))[1:]]
    assert given == ["50"] * 6 + ["50 · 70", "60"]
