"""A table from elsewhere: its columns said, its rows looked at, a finished practical stored."""

from __future__ import annotations

import html
import io
import re
import zipfile
from typing import Any

import pytest
from sqlalchemy import select
from werkzeug.test import TestResponse
from xlsxwriter import Workbook

from app.exports.past import sheets
from app.practicals.board.snapshot import class_snapshot
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import ActorKind, GravityHow, HistoryKind, LogKind, PracticalState
from app.records.engine import Database
from app.records.models import (
    Bench,
    Decision,
    KeptResult,
    LogEntry,
    Practical,
    Run,
    RunVersion,
    StateChange,
)
from tests.practicals.seen import count
from tests.web.department.bring_in.test_file import send
from tests.web.desk.conftest import Reader

TABLE = "/department/bring-in/table"
HEAD = "Group;Trial;Mass (kg);Tube (cm);Turns;T before (°F);T after;Left out;Date"
ROWS = (
    "7;2;0,340;100;50;66,2;21,4;;6.3.2031",
    "7;1;0,340;100;50;66,2;21,5;;6.3.2031",
    "3;1;0,250;100;50;66,2;21,3;yes;6.3.2031",
    "3;2;0,250;100;50;66,2;21,2;;6.3.2031",
)
CSV = "\n".join(("Autumn results;;;;;;;;", HEAD, *ROWS))
ANSWERS = {
    "title": "Period 2",
    "material": "lead",
    "thermometer_step": "0.1",
    "day_style": "day first",
    "same_end_allowance": "5 cm",
    "column_set_aside": "7",
}


def shown(answer: TestResponse) -> dict[str, str]:
    """The form of a page, as a browser would send it."""
    page = answer.get_data(as_text=True)
    fields: dict[str, str] = {
        name: html.unescape(value)
        for tag in re.findall(r"<input[^>]*>", page)
        if (name := _attribute(tag, "name"))
        and name != "csrf_token"
        and (value := _attribute(tag, "value")) is not None
    }
    for name, options in re.findall(
        r'<select id="[^"]*" name="([^"]*)"[^>]*>(.*?)</select>', page, re.DOTALL
    ):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        fields[name] = html.unescape(chosen[1]) if chosen else ""
    return fields


def _attribute(tag: str, name: str) -> str | None:
    found = re.search(rf'\b{name}="([^"]*)"', tag)
    return found[1] if found else None


def look(desk: Reader, data: bytes, **answers: str) -> TestResponse:
    """Upload, answer, look at the rows."""
    form = shown(send(desk, data, "past.csv")) | ANSWERS | answers
    return desk.post(TABLE, **form, action="look")


def store(desk: Reader, looked: TestResponse) -> TestResponse:
    return desk.post(TABLE, **shown(looked), action="store")


def test_a_table_becomes_a_finished_practical_with_runs_that_the_teacher_entered(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    first = send(desk, CSV.encode("utf-8-sig"), "past.csv")
    assert first.status_code == 200
    guessed = shown(first)
    told = {name: guessed[f"column_{name}"] for name in ("bench", "run", "shot_mass", "end_temperature")}
    assert told == {"bench": "0", "run": "1", "shot_mass": "2", "end_temperature": "6"}
    assert (guessed["unit_shot_mass"], guessed["unit_start_temperature"]) == ("kg", "°F")
    assert (guessed["heading_row"], guessed["decimal_mark"], guessed["day_style"]) == ("2", ",", "")
    looked = look(desk, CSV.encode())
    assert looked.status_code == 200
    assert "Nothing is stored yet" in looked.text
    assert count(sqlite_database, Practical) == 0
    stored = store(desk, looked)
    assert stored.status_code == 303
    with sqlite_database.reading() as session:
        practical = session.scalars(select(Practical)).one()
        assert (practical.title, practical.held_on.isoformat()) == ("Period 2", "2031-03-06")
        assert (practical.state, practical.teacher_id) == (PracticalState.FINISHED, teacher.teacher_id)
        assert practical.depth_measured is False, "the table has no settled depths"
        assert (str(practical.accepted_J_per_kg_K), practical.gravity_how) == ("127.4", GravityHow.STANDARD)
        versions = session.execute(
            select(Bench.number, Run.number, RunVersion)
            .join(Run, Run.bench_id == Bench.id)
            .join(RunVersion, RunVersion.run_id == Run.id)
            .order_by(RunVersion.id)
        ).all()
        assert [(bench, run, version.end_temperature_text) for bench, run, version in versions] == [
            (7, 1, "21,5"), (7, 2, "21,4"), (3, 1, "21,3"), (3, 2, "21,2")
        ]  # fmt: skip
        assert {version.actor_kind for *_, version in versions} == {ActorKind.TEACHER}
        assert {version.teacher_id for *_, version in versions} == {teacher.teacher_id}
        assert str(versions[0][2].start_temperature_C) == "19"  # 66.2 °F, by NIST SP 811 (2008), B.8
        decision = session.scalars(select(Decision)).one()
        assert "table that was brought in" in decision.reason
        kinds = list(session.scalars(select(StateChange.kind).order_by(StateChange.id)))
        assert kinds == [HistoryKind.PLANNED, HistoryKind.BROUGHT_IN, HistoryKind.FINISHED]
        assert (
            session.scalars(select(LogEntry).where(LogEntry.kind == LogKind.IMPORTED)).one().detail == "table"
        )
    assert desk.get(stored.headers["Location"]).status_code == 200
    assert count(sqlite_database, KeptResult) == 1  # as at Finish: whoever looks, keeps it
    result = class_snapshot(sqlite_database, practical.id, actor=teacher).result
    assert result is not None
    assert result.class_value is not None


def test_the_same_table_is_stored_once_whatever_it_is_called(desk: Reader, sqlite_database: Database) -> None:
    looked = look(desk, CSV.encode())
    assert store(desk, looked).status_code == 303
    again = store(desk, look(desk, CSV.encode(), title="Another name"))
    assert again.status_code == 303
    assert "This table is here already" in desk.get(again.headers["Location"]).text
    assert (count(sqlite_database, Practical), count(sqlite_database, Run)) == (1, 4)


def test_answers_changed_after_the_look_are_looked_at_again(desk: Reader, sqlite_database: Database) -> None:
    form = shown(look(desk, CSV.encode())) | {"unit_shot_mass": "g"}
    answer = desk.post(TABLE, **form, action="store")
    assert answer.status_code == 200
    assert "Nothing is stored yet" in answer.text
    assert count(sqlite_database, Practical) == 0


def test_caps_that_are_alike_and_a_column_of_depths_make_up_the_end_allowance(desk: Reader) -> None:
    rows = "\n".join((f"{HEAD};Depth (cm)", *(f"{row};3,5" for row in ROWS)))
    answers = {"same_caps": "2 cm", "column_settled_depth": "9", "unit_settled_depth": "cm"}
    looked = look(desk, rows.encode(), heading_row="1", same_end_allowance="", **answers)
    assert looked.status_code == 200
    assert "Nothing is stored yet" in looked.text
    contrary = look(desk, rows.encode(), heading_row="1", same_end_allowance="9 cm", **answers)
    assert (contrary.status_code, "make 5.5 cm" in contrary.text) == (422, True)
    without = look(desk, rows.encode(), heading_row="1", same_end_allowance="", column_settled_depth="9")
    assert without.status_code == 422


def test_benches_with_names_are_counted_and_a_class_of_single_rows_has_a_bench_for_each(
    desk: Reader, sqlite_database: Database
) -> None:
    named = CSV.replace("\n7;", "\n=Blue;").replace("\n3;", "\nRed;")
    looked = look(desk, named.encode())
    assert "=Blue" in looked.text
    store(desk, looked)
    with sqlite_database.reading() as session:
        assert list(session.scalars(select(Bench.number).order_by(Bench.id))) == [1, 2]
    looked = look(desk, CSV.encode(), column_bench="row", column_run="")
    assert store(desk, looked).status_code == 303
    assert count(sqlite_database, Bench) == 2 + 4


def a_workbook(**options: Any) -> bytes:
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True}) as book:
        for name, hidden in options.get("sheets", (("Runs", False),)):
            sheet = book.add_worksheet(name)
            if hidden:
                sheet.hide()
            sheet.write_row(0, 0, ("bench", "shot_mass_g", "tube_length_cm", "inversions", "start", "final"))
            for row in (1, 2):
                sheet.write_row(row, 0, (row, 340, 100, 50, 19.2))
                sheet.write_formula(row, 5, "='[http://127.0.0.1:9/x.xlsx]S'!A1", None, 21.4)
            sheet.write_url(5, 7, "http://127.0.0.1:9/") if options.get("link") else None
    return out.getvalue()


def test_of_a_workbook_the_values_of_shown_sheets_are_read_and_nothing_else(
    desk: Reader, sqlite_database: Database
) -> None:
    answer = send(desk, a_workbook(sheets=(("Runs", False), ("Secret", True))), "past.xlsx")
    assert "Hidden sheets were not read: Secret" in answer.text
    answers = {"title": "Set 1", "held_on": "2030-05-01", "material": "lead", "thermometer_step": "0.1"}
    form = shown(answer) | answers | {"same_end_allowance": "5"}
    looked = desk.post(TABLE, **form, action="look")
    assert looked.status_code == 200, re.findall(r"field-problem[^<]*<?", looked.text)
    assert store(desk, looked).status_code == 303
    with sqlite_database.reading() as session:
        version = session.scalars(select(RunVersion)).first()
        assert version is not None
        assert (version.end_temperature_text, version.shot_mass_unit) == ("21.4", "g")
    two = send(desk, a_workbook(sheets=(("Monday", False), ("Friday", False))), "past.xlsx")
    assert "Which sheet?" in two.text
    taken = desk.post(TABLE, table=shown(two)["table"], action="take")
    assert shown(taken)["column_bench"] == "0"


def _changed(data: bytes, name: str, change: Any) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            content = old.read(info)
            new.writestr(info.filename, change(content) if info.filename == name else content)
    return out.getvalue()


SHEET_1 = "xl/worksheets/sheet1.xml"


def test_files_that_are_no_table_of_a_class_are_refused_in_words(
    desk: Reader, sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = a_workbook()
    far = _changed(book, SHEET_1, lambda xml: xml.replace(b'r="F3"', b'r="XFD1048576"'))
    unplaced = _changed(book, SHEET_1, lambda xml: xml.replace(b' r="F3"', b""))
    bomb = _changed(book, "xl/styles.xml", lambda xml: xml + b" " * 33 * 1024**2)
    for data, told in (
        (b"", "empty|No file"),
        (b"\xef\xbb\xbf \n", "The table is empty"),
        ("Temp;°C\n1;2".encode("latin-1"), "Row 1 is not UTF-8"),
        ("\n°C".encode("latin-1"), "Row 2 is not UTF-8"),
        (b"\x7fELF\x00\x00", "This is no table: neither CSV nor a workbook"),
        (b"a,b\x00\n1,2", "This is no table: neither CSV nor a workbook"),
        (b"a,b\n" + b"1,2\n" * 1001, "at most 1000 rows"),
        (b"," * 61 + b"\n1", "60 columns and 1 MB of text are read. Bring in one class at a time."),
        (book[:-400], "damaged"),
        (far, "at most 1000 rows"),
        (unplaced, "does not say where its cells stand"),
        (bomb, "at most 1000 rows"),
        (a_workbook(sheets=(("Shown", False), ("Runs", True)))[:50], "damaged"),
    ):
        answer = send(desk, data, "past.csv")
        assert answer.status_code == 422, told
        assert any(one in html.unescape(answer.text) for one in told.split("|")), told
    monkeypatch.setattr(sheets, "LARGEST_TEXT", 20)
    for table in (CSV.encode(), book):
        assert "1 MB of text" in send(desk, table, "past.csv").text
    assert count(sqlite_database, Practical) == 0


def test_a_table_in_utf_16_is_read_as_excel_writes_unicode_text(desk: Reader) -> None:
    answer = send(desk, CSV.replace(";", "\t").encode("utf-16"), "past.txt")
    assert answer.status_code == 200
    assert shown(answer)["unit_start_temperature"] == "°F"


def test_a_form_without_its_table_or_button_changes_nothing(desk: Reader) -> None:
    assert desk.post(TABLE, action="store").status_code == 422
    assert desk.post(TABLE, table="a,b\n1,2\n").status_code == 422
    assert desk.get(TABLE).headers["Location"].endswith("/department/bring-in")
