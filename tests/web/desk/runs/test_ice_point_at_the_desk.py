"""A bench's ice-point reading at the desk: put right, in the history and in what is taken away."""

from __future__ import annotations

import html
import io
import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from app.analysis.views.json import as_plain_data
from app.physics.reading.ice_point import parse_ice_point
from app.practicals.benches.ice_point import note_own_ice_point
from app.practicals.benches.watch import renumber_bench
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import change_plan
from app.practicals.made_up.rehearsal import rehearse
from app.practicals.runs.sending import enter_run
from tests.commands import called
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader


@pytest.fixture
def measured(a_class: AClass) -> AClass:
    """Benches 1 to 3 with two runs each; bench 2 read 0,4 °C in ice on its phone, bench 3 has the plan's."""
    lines = (BenchPlanLine(3, thermometer_step_K=Decimal("0.5"), ice_point_C=Decimal("-0.50")),)
    _planned(a_class, lines)
    for number in (1, 2, 3):
        bench = a_class.join(number)
        if number == 2:
            reading = parse_ice_point("0,4")
            note_own_ice_point(a_class.database, actor=bench, reading=reading, now=NOW)
        for end in ("21.4", "21.5"):
            enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(end=end), now=NOW)
    return a_class


def _planned(a_class: AClass, lines: tuple[BenchPlanLine, ...]) -> None:
    plan = replace(a_class.practical.plan, bench_plans=lines, room_temperature_C=Decimal(21))
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )


def _of_runs(a_class: AClass) -> dict[str, float | None]:
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    assert snapshot.result is not None
    return {run.readings.bench: run.readings.ice_point_C for run in snapshot.result.runs}


def test_the_benchs_page_says_it_and_the_teacher_puts_it_right(desk: Reader, measured: AClass) -> None:
    address = f"/desk/{measured.practical_id}/bench"
    assert "−0.50 °C</bdi></b> (from the plan)" in desk.text(f"{address}/3")
    assert "Not read." in desk.text(f"{address}/1")
    page = desk.text(f"{address}/2")
    assert "0,4 °C" in page
    assert "so the warming stays as read" in page
    assert desk.post(f"{address}/2/ice", ice_point="0.6").status_code == 302
    assert "Kept. It counts for all runs of bench 2." in desk.text(f"{address}/2")
    assert _of_runs(measured) == {"1": None, "2": 0.6, "3": -0.5}
    assert desk.post(f"{address}/3/ice", ice_point="32.9 °F").status_code == 302
    assert _of_runs(measured)["3"] == 0.5
    desk.post(f"{address}/3/ice", ice_point="")
    assert _of_runs(measured)["3"] == -0.5, "the plan's again"


def test_the_history_says_who_changed_it_and_from_what(desk: Reader, measured: AClass) -> None:
    desk.post(f"/desk/{measured.practical_id}/bench/2/ice", ice_point="0.6")
    desk.post(f"/desk/{measured.practical_id}/bench/2/ice", ice_point="0.6")
    page = " ".join(desk.text(f"/desk/{measured.practical_id}/history").split())
    assert page.count("<b>Thermometer in melting ice</b>") == 2, "the second time changes nothing"
    assert "by Mrs-Okafor</span></p> <p>Bench 2: 0,4 °C → 0.6 °C</p>" in page
    assert "by the bench</span></p> <p>Bench 2: – → 0,4 °C</p>" in page


def test_what_cannot_be_is_refused_and_one_far_off_asked_about_once(desk: Reader, measured: AClass) -> None:
    address = f"/desk/{measured.practical_id}/bench/1/ice"
    for typed, status, said in (
        ("21", 422, "not 21 °C. Read it in ice and water"),
        ("2.4", 200, "More than 2 K off"),
    ):
        answer = desk.post(address, ice_point=typed)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == status
        assert said in page
        assert f'value="{typed}"' in page
        assert _of_runs(measured)["1"] is None
    assert desk.post(address, ice_point="2.4", sure="2.4 °C").status_code == 302
    assert _of_runs(measured)["1"] == 2.4
    assert desk.post(f"/desk/{measured.practical_id}/bench/9/ice", ice_point="1").status_code == 404


def test_the_benchs_own_reading_goes_with_it_to_its_right_number(measured: AClass) -> None:
    renumber_bench(
        measured.database,
        actor=measured.teacher,
        practical_id=measured.practical_id,
        bench_number=2,
        right_number=3,
        now=NOW,
    )
    assert _of_runs(measured) == {"1": None, "3": 0.4, "2": None}


def test_table_and_workbook_have_it_and_the_command_gives_the_same_numbers(
    desk: Reader, measured: AClass, tmp_path: Path
) -> None:
    file = tmp_path / "runs.csv"
    file.write_bytes(desk.get(f"/desk/{measured.practical_id}/runs.csv").data)
    rows = file.read_text("utf-8-sig").splitlines()
    place = rows[0].split(",").index("ice_point_C")
    assert [row.split(",")[place] for row in rows[1:]] == ["", "", "0.4", "0.4", "-0.5", "-0.5"]
    book = openpyxl.load_workbook(io.BytesIO(desk.get(f"/desk/{measured.practical_id}/runs.xlsx").data))
    names = [cell.value for cell in book.worksheets[0][1]]
    column = names.index("ice_point_C")
    assert [row[column].value for row in list(book.worksheets[0].rows)[1:]] == [
        None,
        None,
        0.4,
        0.4,
        -0.5,
        -0.5,
    ]
    snapshot = class_snapshot(measured.database, measured.practical_id, actor=measured.teacher)
    assert snapshot.result is not None
    said = called(
        tmp_path,
        "analyse",
        *(str(file), "--accepted", "128", "--room-temperature", "21", "--json"),
    )
    printed = json.loads(said.stdout)
    shown = as_plain_data(snapshot.result)
    assert [run["ice_point_C"] for run in printed["runs"]] == [None, None, 0.4, 0.4, -0.5, -0.5]
    assert printed["separated"] == shown["separated"]


def test_a_simulated_run_was_read_on_no_thermometer(a_class: AClass) -> None:
    _planned(a_class, (BenchPlanLine(3, thermometer_step_K=Decimal("0.5"), ice_point_C=Decimal(1)),))
    rehearse(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, seed=1, now=NOW)
    assert _of_runs(a_class)["3"] is None
