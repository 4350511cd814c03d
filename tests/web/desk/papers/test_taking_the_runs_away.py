"""The run table and the workbook of a class that was planned with the planner, cell by cell."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from flask import Flask
from openpyxl.workbook import Workbook

from app import create_app
from app.analysis.analyse import analyse_class
from app.analysis.results import ANALYSIS_VERSION
from app.analysis.views.json import as_plain_data
from app.exports.record.document import key_of
from app.exports.tidy.columns import RUNS
from app.physics.run import QUANTITIES
from app.practicals.board.snapshot import Snapshot, class_snapshot, settings_of
from app.practicals.lesson.details import Typed
from app.practicals.lesson.plan import change_plan
from app.practicals.lesson.room import RoomTemperature, set_room_temperature
from app.practicals.lesson.states import open_practical
from app.practicals.out.whole import whole_practical
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.sending import correct_run, enter_run
from app.settings import Settings
from tests.commands import called
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.run_tables import read_run_table
from tests.web.desk.conftest import Reader
from tests.web.desk.plan.test_planning_each_bench import KIT, _fields

DECIDED_AT = datetime(2031, 3, 6, 23, 30, 15, tzinfo=UTC)
FORMULA = "x ;=1+1;"
PARTS = {"caps": Typed("2", Decimal("0.02"), "cm"), "settled_depth": Typed("3", Decimal("0.03"), "cm")}
READ = [("340", "19.2", "21.4"), ("340", "19.3", "21.4"), ("339.5", "19.1", "21.2"), ("341", "19.4", "21.6")]


@pytest.fixture
def one(desk: Reader, planned: AClass) -> AClass:
    """Four benches of a planned class with a run each: one of them corrected, one set aside."""
    address = f"/desk/{planned.practical_id}/planner"
    proposed = _fields(desk.post(address, **KIT, action="propose").get_data(as_text=True))
    assert desk.post(address, **{**KIT, **proposed}, action="save").status_code == 302
    actor, database = planned.teacher, planned.database
    conduct: dict[str, Any] = {"actor": actor, "practical_id": planned.practical_id, "now": NOW}
    opened = open_practical(database, **conduct)
    room = RoomTemperature("21.5", Decimal("21.5"))
    opened = set_room_temperature(database, room=room, **conduct)
    one = AClass(database, actor, opened)
    for number, (mass, start, end) in enumerate(READ, 1):
        bench = one.join(number)
        entry = an_entry(mass, start, end, **(PARTS if number == 4 else {}))
        run = enter_run(database, actor=bench, key=new_key(), entry=entry, now=NOW).run_id
        if number == 2:
            again = an_entry(mass, start, "21.5")
            correct_run(
                database, actor=bench, run_id=run, key=new_key(), entry=again, reason=FORMULA, now=NOW
            )
        if number == 3:
            set_aside(database, actor=actor, run_id=run, reason="=2+3", expected_revision=1, now=DECIDED_AT)
    return one


def _snapshot(one: AClass) -> Snapshot:
    return class_snapshot(one.database, one.practical_id, actor=one.teacher)


def _csv(desk: Reader, one: AClass, delimiter: str = ",") -> list[list[str]]:
    answer = desk.get(f"/desk/{one.practical_id}/runs.csv")
    assert answer.status_code == 200
    text = answer.data.decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))


def _book(desk: Reader, one: AClass, language: str = "en") -> Workbook:
    answer = desk.get(f"/desk/{one.practical_id}/runs.xlsx", **{"Accept-Language": language})
    assert answer.status_code == 200
    return openpyxl.load_workbook(io.BytesIO(answer.data))


def _expected(one: AClass) -> list[dict[str, object]]:
    """Every cell: exact decimals from the records, calculated figures to ten digits, moments in UTC."""
    snapshot = _snapshot(one)
    assert snapshot.result is not None
    plan = snapshot.practical.plan
    whole = whole_practical(one.database, actor=one.teacher, practical_id=one.practical_id)
    keys = {run.id: run.idempotency_key for run in whole.runs}
    rows: list[dict[str, object]] = []
    for run, worked in zip(snapshot.runs, snapshot.result.runs, strict=True):
        entry, line = run.entry, snapshot.practical.plan.for_bench(run.bench_number)
        assert line.shot_mass_kg is not None
        assert line.tube_length_m is not None
        rows.append(
            {
                "bench": Decimal(run.bench_number),
                "run": Decimal(run.number),
                "shot_mass_g": entry.shot_mass.value * 1000,
                "tube_length_cm": entry.tube_length.value * 100,
                "end_allowance_cm": entry.end_allowance.value * 100,
                "inversions": entry.inversions.value,
                "start_temperature_C": entry.start_temperature.value,
                "end_temperature_C": entry.end_temperature.value,
                "room_temperature_C": None,
                "caps_cm": Decimal(2) if run.bench_number == 4 else None,
                "settled_depth_cm": Decimal(3) if run.bench_number == 4 else None,
                "set_aside": "yes" if run.bench_number == 3 else None,
                "came_too_fast": None,
                "planned_shot_mass_g": line.shot_mass_kg * 1000,
                "planned_tube_length_cm": line.tube_length_m * 100,
                "planned_inversions": Decimal(line.inversions or 0),
                "thermometer_step_K": None,
                "ice_point_C": None,
                "class_room_temperature_C": Decimal("21.5"),
                "fall_m": entry.tube_length.value - entry.end_allowance.value,
                "specific_energy_J_per_kg": _calculated(worked.specific_energy_J_per_kg),
                "warming_K": entry.end_temperature.value - entry.start_temperature.value,
                "apparent_heat_capacity_J_per_kg_K": _calculated(worked.apparent_heat_capacity_J_per_kg_K),
                "standard_uncertainty_J_per_kg_K": _calculated(worked.standard_uncertainty_J_per_kg_K),
                "flags": " ".join(flag.rule for flag in worked.flags) or None,
                "suspected_slip": worked.suspected_slip.slip if worked.suspected_slip else None,
                "decision": "set aside" if run.bench_number == 3 else None,
                "decision_reason": "=2+3" if run.bench_number == 3 else None,
                "decided_by": one.teacher.name if run.bench_number == 3 else None,
                "decided_at": DECIDED_AT if run.bench_number == 3 else None,
                "versions": Decimal(2 if run.bench_number == 2 else 1),
                "correction_reason": FORMULA if run.bench_number == 2 else None,
                "entered_by": "bench",
                "first_sent_at": NOW,
                "simulated": None,
                **dict.fromkeys(("tube", "thermometer", "balance", "shot_lot")),
                "practical_key": key_of(whole),
                "held_on": date(2031, 3, 6),
                "title": snapshot.practical.title,
                "run_key": keys[run.run_id],
                "practical_state": "collecting",
                "material": "lead",
                "accepted_J_per_kg_K": Decimal(128),
                "accepted_source": "invented for this test",
                "accepted_temperature_C": plan.accepted_temperature_C,
                "gravity_m_per_s2": Decimal("9.80665"),
                "u_gravity_m_per_s2": plan.u_gravity_m_per_s2,
                "class_thermometer_step_K": Decimal("0.1"),
                "reading_sd_K": plan.reading_sd_K,
                "length_sd_m": plan.length_sd_m,
                **_typed(entry),
                "own_value_typed": None,
                "own_value_unit": None,
                "own_value_J_per_kg_K": None,
                "analysis_version": Decimal(ANALYSIS_VERSION),
            }
        )
    return rows


def _typed(entry: RunEntry) -> dict[str, object]:
    """Each text as it was typed, and the unit in which it was understood."""
    found: dict[str, object] = {}
    for name, one in QUANTITIES.items():
        typed = entry.of.get(name)
        found[f"{name}_typed"] = typed.raw if typed else None
        if one.units:
            found[f"{name}_unit"] = typed.unit if typed else None
    return found


def _calculated(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(f"{value:.10g}")


def test_every_cell_of_the_run_table_of_a_planned_class(desk: Reader, one: AClass) -> None:
    header, *rows = _csv(desk, one)
    assert header == list(RUNS.names)
    guarded = {FORMULA: "x ;'=1+1;", "=2+3": "'=2+3"}
    for cells, expected in zip(rows, _expected(one), strict=True):
        assert set(expected) == set(header)
        for name, cell in zip(header, cells, strict=True):
            wanted = expected[name]
            if isinstance(wanted, Decimal):
                assert Decimal(cell) == wanted, name
                assert len(cell) <= len(f"{wanted:f}"), f"{name} is {cell}: digits that nobody read"
            elif isinstance(wanted, datetime):
                assert datetime.fromisoformat(cell) == wanted, name
            elif isinstance(wanted, date):
                assert date.fromisoformat(cell) == wanted, name
            else:
                assert cell == guarded.get(str(wanted), wanted or ""), name


def test_every_cell_of_the_workbook_of_a_planned_class(desk: Reader, one: AClass) -> None:
    sheet = _book(desk, one).worksheets[0]
    header, *rows = sheet.iter_rows()
    names = [cell.value for cell in header]
    assert names == list(RUNS.names)
    for cells, expected in zip(rows, _expected(one), strict=True):
        for name, cell in zip(names, cells, strict=True):
            wanted = expected[str(name)]
            if isinstance(wanted, Decimal):
                assert cell.data_type == "n", name
                assert Decimal(repr(cell.value)) == wanted, f"{name}: exactly, as typed"
            elif isinstance(wanted, datetime):
                assert cell.is_date, name
                assert cell.value == wanted.astimezone().replace(tzinfo=None), (
                    f"{name}: on the school's clock"
                )
            elif isinstance(wanted, date):
                assert cell.is_date, name
                assert cell.value.date() == wanted, name
            else:
                assert cell.value == wanted, name
                assert wanted is None or cell.data_type == "s", name


def test_the_run_table_of_a_planned_class_gives_the_same_result_again(desk: Reader, one: AClass) -> None:
    snapshot = _snapshot(one)
    assert snapshot.result is not None
    data = desk.get(f"/desk/{one.practical_id}/runs.csv").data
    read = analyse_class(read_run_table(data), settings_of(snapshot.practical.plan))
    assert [run.readings for run in read.runs] == [run.readings for run in snapshot.result.runs]
    assert read.class_value == snapshot.result.class_value


def test_the_command_gives_the_stored_result_from_the_table_alone(
    desk: Reader, one: AClass, tmp_path: Path
) -> None:
    """The class differs from the usual in g, in the thermometer, in the accepted value and its source."""
    unusual = replace(
        _snapshot(one).practical.plan,
        gravity_m_per_s2=Decimal("9.79"),
        u_gravity_m_per_s2=Decimal("0.01"),
        accepted_J_per_kg_K=Decimal("131.5"),
        thermometer_step_K=Decimal("0.2"),
        reading_sd_K=Decimal("0.07"),
        length_sd_m=Decimal("0.004"),
    )
    change_plan(one.database, actor=one.teacher, practical_id=one.practical_id, plan=unusual, now=NOW)
    file = tmp_path / "runs.csv"
    file.write_bytes(desk.get(f"/desk/{one.practical_id}/runs.csv").data)
    done = called(tmp_path, "analyse", str(file), "--json")
    result = _snapshot(one).result
    assert result is not None
    assert json.loads(done.stdout) == json.loads(json.dumps(as_plain_data(result)))
    other = json.loads(called(tmp_path, "analyse", str(file), "--json", "--accepted", "128").stdout)
    assert other["class_value"]["accepted_J_per_kg_K"] == 128


@pytest.mark.parametrize("language", ["en", "es", "fr", "de", "ar"])
def test_the_sheets_are_named_in_the_readers_language(desk: Reader, one: AClass, language: str) -> None:
    names = _book(desk, one, language).sheetnames
    assert len(set(names)) == 7
    english = ["Runs", "Benches", "Class results", "Decisions", "Kit", "Practicals", "Data dictionary"]
    assert [name for name, plain in zip(names, english, strict=True) if name == plain] == (
        english if language == "en" else []
    )


def test_no_cell_begins_a_formula_however_the_run_table_is_parted(desk: Reader, one: AClass) -> None:
    for delimiter in (",", ";", "\t"):
        cells = [cell for row in _csv(desk, one, delimiter) for cell in row]
        assert any("1+1" in cell for cell in cells)
        signs = ("=", "+", "-", "@")
        assert [cell for cell in cells if cell.lstrip(" \"'").startswith(signs) and cell[0] != "'"] == []


def test_the_workbook_gives_moments_on_the_schools_clock(
    application: Flask, one: AClass, tmp_path: Path, make_desk: Callable[[Flask], Reader]
) -> None:
    environ = {
        "PLUMBFALL_DATA": str(tmp_path),
        "DATABASE_URL": str(one.database.url),
        "PLUMBFALL_TIME_ZONE": "Pacific/Auckland",
    }
    elsewhere = create_app(Settings.from_environment(environ))
    sheet = _book(make_desk(elsewhere).let_in(one.teacher.login), one).worksheets[0]
    column = 1 + RUNS.names.index("decided_at")
    # New Zealand's daylight time, UTC+13, lasts to the first Sunday of April (IANA time zone database).
    assert sheet.cell(4, column).value == datetime.fromisoformat("2031-03-07T12:30:15")
    elsewhere.extensions["plumbfall_database"].close()


@pytest.fixture
def make_desk() -> Callable[[Flask], Reader]:
    """A browser at another server of the same records."""
    return lambda application: Reader(application.test_client())
