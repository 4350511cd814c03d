"""A practical that an earlier program wrote opens unchanged, on both databases.

Rows, run table and figures are of the program whose newest migration was 0010: before benches measured caps
and depth, had thermometers of their own, ice points or a second count.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import text

from app import create_app
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import Typed
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.migrate import upgrade
from app.settings import Settings
from tests.practicals.a_class import NOW, an_entry
from tests.web.desk.conftest import Reader
from tests.web.phone.phone import Phone

HERE = Path(__file__).parent
ROWS = (HERE / "practical_of_revision_0010.sql").read_text(encoding="utf-8")
RUN_TABLE = (HERE / "practical_of_revision_0010.csv").read_text(encoding="utf-8-sig")
TEACHER = TeacherIdentity(1, 1, "mrs-okafor", "Mrs-Okafor")
CODE = "K7EEHPN"
DESK = "/desk/1"
PAGES = (
    "/",
    "/live",
    "/plan",
    "/history",
    "/decisions",
    "/bench/4",
    "/cards",
    "/card/2.svg",
    "/planner",
    "/enter",
)


@pytest.fixture
def opened(bare: Database) -> Database:
    """Rows written at that revision, opened by today's program."""
    upgrade(bare, "0010")
    with bare.engine.begin() as connection:
        if bare.engine.dialect.name == "postgresql":
            connection.execute(text("SET LOCAL TIME ZONE 'UTC'"))
        for statement in ROWS.split(";\n"):
            connection.exec_driver_sql(statement)
    upgrade(bare)
    return bare


@pytest.fixture
def application(opened: Database, tmp_path: Path) -> Iterator[Flask]:
    address = opened.url.render_as_string(hide_password=False)
    made = create_app(Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": address}))
    yield made
    made.extensions["plumbfall_database"].close()


@pytest.fixture
def desk(application: Flask) -> Reader:
    return Reader(application.test_client()).sign_in(TEACHER.login)


def test_its_run_table_is_the_one_it_had(desk: Reader) -> None:
    """Each cell under each heading of then, and nothing under readings and pieces that came later. A run's
    uncertainty is left out: it has the class's technique in it since."""
    before = list(csv.DictReader(io.StringIO(RUN_TABLE)))
    text_now = desk.get(f"{DESK}/runs.csv").get_data().decode("utf-8-sig")
    now = list(csv.DictReader(io.StringIO(text_now)))
    same = [name for name in before[0] if name != "standard_uncertainty_J_per_kg_K"]
    for then, row in zip(before, now, strict=True):
        assert {name: row[name] for name in same} == {name: then[name] for name in same}
    assert {row["class_room_temperature_C"] for row in now} == {"21.3"}, "of its plan, in a column since"
    later = ("caps_cm", "settled_depth_cm", "thermometer_step_K", "ice_point_C", "tube", "shot_lot")
    assert {row[name] for row in now for name in later} == {""}


def test_its_result_is_the_one_it_had(opened: Database) -> None:
    """The figures that the program of then gave for it."""
    result = class_snapshot(opened, 1, actor=TEACHER).result
    assert result is not None
    assert result.class_value is not None
    apart = result.separated
    assert result.class_value.apparent_heat_capacity_J_per_kg_K == pytest.approx(215.6495, abs=0.01)
    assert result.class_value.interval_95 == pytest.approx((205.354, 229.375), abs=0.01)
    assert apart.heat_capacity_J_per_kg_K == pytest.approx(128.2332, abs=0.01)
    assert apart.heat_sink_J_per_K == pytest.approx(42.8495, abs=0.01)
    assert apart.heat_leak_J_per_K_per_inversion == pytest.approx(0.06286, abs=0.0001)
    assert [len(run.flags) for run in result.runs] == [0] * 8


def test_each_of_its_pages_opens(desk: Reader) -> None:
    for page in PAGES:
        assert desk.get(DESK + page).status_code == 200, page
    for page in ("/board/1", "/board/1/picture", "/board/1/report", "/board/1/report.pdf"):
        assert desk.get(page).status_code == 200, page
    for download in ("/runs.xlsx", "/cards.pdf"):
        assert desk.get(DESK + download).status_code == 200, download


def test_its_plan_and_its_phones_ask_for_one_allowance_as_before(
    desk: Reader, application: Flask, opened: Database
) -> None:
    plan = desk.text(f"{DESK}/plan")
    boxes = [tag for tag in re.findall(r"<input [^>]*>", plan) if 'name="ends_how"' in tag]
    assert ['value="planned"' in tag for tag in boxes if " checked" in tag] == [True]
    phone = Phone(application.test_client())
    phone.join(CODE, 5)
    with opened.engine.begin() as connection:  # as the teacher does for a bench beyond the plan
        connection.exec_driver_sql("UPDATE bench SET waits_for_teacher = false")
    phone.send("/bench/safety", {})
    phone.open("/bench/run/tube")
    assert 'name="end_allowance"' in phone.text
    assert 'name="settled_depth"' not in phone.text


def test_a_run_sent_again_after_the_change_of_programs_is_the_run_it_was(opened: Database) -> None:
    bench = BenchIdentity(practical_id=1, bench_id=1, bench_number=1, phone_id=1)
    typed = an_entry(
        mass_g="240",
        start="19.6",
        end="22.0",
        end_allowance=Typed("6", Decimal("0.06"), "cm"),
        inversions=Typed("80", Decimal(80), ""),
    )
    again = enter_run(opened, actor=bench, key=f"{1:032x}", entry=typed, now=NOW)
    assert (again.run_id, again.number) == (1, 1)
    later = enter_run(opened, actor=bench, key=f"{9:032x}", entry=an_entry(), now=NOW)
    assert later.number == 3
