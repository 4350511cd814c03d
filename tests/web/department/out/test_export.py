"""Records taken away as one ZIP file: complete, checked by its sums, noted, ended by whoever closes it."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from pathlib import Path
from typing import Any

import csvw
import jsonschema
import openpyxl
from flask import Flask
from sqlalchemy import select

from app.practicals.lesson.deletions import delete_practical
from app.practicals.people.log import log_page
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.models import Practical, Teacher
from tests.practicals.a_class import NOW, AClass, a_teacher
from tests.web.department.bring_in.test_file import send
from tests.web.department.out.exporting import ADDRESS, another_class, table, taken
from tests.web.desk.conftest import Reader


def test_every_file_is_named_with_its_sum_and_readable_by_independent_libraries(
    reader: Reader, full: AClass, tmp_path: Path
) -> None:
    package = taken(reader)
    assert package.testzip() is None
    package.extractall(tmp_path)
    manifest = json.loads(package.read("manifest.json"))
    for line in package.read("SHA256SUMS").decode().splitlines():
        digest, name = line.split("  ")
        assert hashlib.sha256(package.read(name)).hexdigest() == digest
    names = [file["name"] for file in manifest["files"]]
    assert sorted([*names, "manifest.json", "SHA256SUMS"]) == sorted(package.namelist())
    assert manifest["counts"] == {
        "practicals": 2, "runs": 5, "decisions": 3, "without_a_kept_result": 1
    }  # fmt: skip
    assert (manifest["exported_by"], manifest["chosen"]) == ("a teacher", "everything")
    assert manifest["departments_rule"] == {"words": "as long as the runs", "runs": "until they are deleted"}
    assert full.teacher.name not in package.read("manifest.json").decode()

    assert csvw.CSVW(str(tmp_path / "csv-metadata.json"), validate=True).is_valid
    schema = json.loads(package.read("practical-1.schema.json"))
    documents = [json.loads(package.read(name)) for name in names if name.startswith("practicals/")]
    for document in documents:
        jsonschema.Draft202012Validator(schema).validate(document)
    assert {document["key"] for document in documents} == {
        row["practical_key"] for row in table(package, "runs")
    }
    book = openpyxl.load_workbook(io.BytesIO(package.read("plumbfall.xlsx")))
    assert (book["Runs"].max_row, book["Practicals"].max_row) == (6, 3)


def test_figures_are_those_of_the_kept_result_and_empty_where_none_was_kept(reader: Reader) -> None:
    runs = table(taken(reader, "?part=tables"), "runs")
    assert {run["title"][-2:] for run in runs} == {"10", " 5"}
    for run in runs:
        expected = "1" if run["title"].endswith("10") else ""
        assert run["analysis_version"] == expected
        assert (run["standard_uncertainty_J_per_kg_K"] != "") is bool(expected)


def test_only_what_was_asked_for_of_whom_it_was_asked_goes_out(reader: Reader, full: AClass) -> None:
    package = taken(reader, f"?part=documents&practical={full.practical_id}")
    assert [name.partition("/")[0] for name in package.namelist()] == [
        *("practicals", "practical-1.schema.json", "practicals.csv", "csv-metadata.json"),
        *("manifest.json", "SHA256SUMS"),
    ]
    (row,) = table(package, "practicals")
    assert row["made_up"] == ""
    assert json.loads(package.read("manifest.json"))["chosen"] == "single practicals"


def test_a_report_goes_with_each_practical_that_has_runs(reader: Reader, full: AClass) -> None:
    package = taken(reader, f"?part=reports&practical={full.practical_id}")
    (report,) = [name for name in package.namelist() if name.startswith("reports/")]
    assert package.read(report).startswith(b"%PDF")


def test_another_departments_practicals_are_not_there(
    reader: Reader, full: AClass, application: Flask, sqlite_database: Database
) -> None:
    stranger = a_teacher(sqlite_database, "stranger", "Chemistry", is_head=True)
    theirs = another_class(sqlite_database, stranger, "Theirs")
    assert {row["title"] for row in table(taken(reader, "?part=tables"), "practicals")} == {
        "'=HYPERLINK(A1) Year 10", "Period 5"
    }  # fmt: skip
    asked = f"?practical={theirs.practical_id}&practical={full.practical_id}&part=tables"
    assert len(table(taken(reader, asked), "practicals")) == 1
    their_reader = Reader(application.test_client()).let_in(stranger.login)
    page = their_reader.text(f"/department/export?practical={full.practical_id}")
    assert "There is nothing to take away." in page


def test_a_technician_takes_records_away_and_the_log_says_so(
    application: Flask, full: AClass, sqlite_database: Database
) -> None:
    technician = a_teacher(sqlite_database, "tec")
    with sqlite_database.writing() as session:
        session.get_one(Teacher, technician.teacher_id).role = Role.TECHNICIAN
    reader = Reader(application.test_client()).let_in("tec")
    assert "2 practicals: all that the department keeps." in reader.text("/department/export")
    manifest = json.loads(taken(reader, "?part=tables").read("manifest.json"))
    assert manifest["exported_by"] == "a technician"
    head = a_teacher(sqlite_database, "head", is_head=True)
    (line,) = log_page(sqlite_database, actor=head, kind=LogKind.DOWNLOADED).lines
    assert (line.detail, line.actor) == ("zip", technician.name)


def test_the_page_asks_what_of_how_many_and_keeps_the_choice(reader: Reader, full: AClass) -> None:
    page = reader.text(f"/department/export?practical={full.practical_id}")
    assert "1 practical, as chosen." in page
    assert f'name="practical" value="{full.practical_id}"' in page


def test_the_list_offers_its_practicals_ticked_or_filtered_and_the_school_year(
    reader: Reader, full: AClass
) -> None:
    """6 March 2031 is in the school year that began in 2030."""
    page = reader.text("/department/?words=period")
    assert 'action="/department/export"' in page
    assert f'name="practical" value="{full.practical_id + 1}"' in page
    assert "/department/export?words=period" in page
    assert "1 practical, as chosen." in reader.text("/department/export?words=period")
    assert "/department/export?year=2030" in reader.text("/department/export")
    package = taken(reader, "?part=tables&year=2030&words=period")
    assert json.loads(package.read("manifest.json"))["chosen"] == {"year": "2030", "words": "period"}
    assert [row["title"] for row in table(package, "practicals")] == ["Period 5"]
    assert table(taken(reader, "?part=tables&year=2029"), "practicals") == []


def test_a_package_is_brought_in_again_without_loss(reader: Reader, full: AClass) -> None:
    """All that the document holds but the line of its history that says that it was brought in."""
    asked = f"{ADDRESS}?part=documents&practical={full.practical_id}"
    data = reader.get(asked).data
    delete_practical(full.database, actor=full.teacher, practical_id=full.practical_id, now=NOW)
    assert "Practicals stored: 1 of 1" in send(reader, data, "plumbfall.zip").text
    (before,) = documents(data)
    with full.database.reading() as session:
        again = max(session.scalars(select(Practical.id)))
    (after,) = documents(reader.get(f"{ADDRESS}?part=documents&practical={again}").data)
    for part in ("key", "people", "bench_plans", "benches", "results", "held_wall"):
        assert after[part] == before[part], part
    assert after["history"][: len(before["history"])] == before["history"]


def documents(data: bytes) -> list[Any]:
    package = zipfile.ZipFile(io.BytesIO(data))
    return [json.loads(package.read(name)) for name in package.namelist() if name.startswith("practicals/")]
