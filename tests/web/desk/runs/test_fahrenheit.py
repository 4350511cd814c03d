"""A class with thermometers in °F: read on the phone, typed at the desk, downloaded and analysed again."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

from click.testing import CliRunner
from flask import Flask

from app.cli_analyse import analyse
from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader
from tests.web.phone.phone import READINGS, Phone

MARKS = "between-thermometer-marks"
IN_F = {"start_temperature": "66.6", "end_temperature": "70.6"}
"""19.222… °C and 21.444… °C: on no mark of a thermometer with steps of 0.1 °C."""


def _others(a_class: AClass) -> None:
    """Eight benches that read in °C."""
    for number in range(10, 18):
        bench = a_class.join(number)
        for end in ("21.4", "21.5"):
            enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(end=end), now=NOW)


def _flags(a_class: AClass) -> dict[int, list[str]]:
    """The rules by which each bench's runs are flagged."""
    result = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).result
    assert result is not None
    return {int(run.readings.bench): [flag.rule for flag in run.flags] for run in result.runs}


def _from_a_phone(application: Flask, a_class: AClass, **readings: str) -> None:
    phone = Phone(application.test_client())
    phone.join(a_class.practical.join_code or "", 7)
    phone.open("/bench/run/all")
    phone.step(**{**READINGS, **readings})
    phone.step("send")


def test_a_phone_set_to_fahrenheit_is_not_flagged_for_its_marks(application: Flask, a_class: AClass) -> None:
    _others(a_class)
    units = {"start_temperature_unit": "°F", "end_temperature_unit": "°F"}
    _from_a_phone(application, a_class, **IN_F, **units)
    assert _flags(a_class)[7] == []


def test_a_run_typed_in_fahrenheit_at_the_desk_is_not_flagged_for_its_marks(
    desk: Reader, a_class: AClass
) -> None:
    _others(a_class)
    address = f"/desk/{a_class.practical_id}/enter"
    found = re.search(r'name="key" value="([^"]+)"', desk.text(address))
    assert found
    run = {**READINGS, **{name: f"{text} °F" for name, text in IN_F.items()}}
    answer = desk.post(address, **run, bench_number="7", key=found.group(1))
    assert answer.status_code == 302, html.unescape(answer.get_data(as_text=True))
    assert _flags(a_class)[7] == []


def test_an_odd_run_read_between_the_marks_of_celsius_has_that_reason_on_the_desk(
    application: Flask, desk: Reader, a_class: AClass
) -> None:
    _others(a_class)
    _from_a_phone(application, a_class, start_temperature="19.22", end_temperature="22.84")
    assert _flags(a_class)[7] == ["unlike-the-others", MARKS]
    page = desk.text(f"/desk/{a_class.practical_id}/decisions")
    assert "19.22 °C and 22.84 °C: this bench's thermometer reads in steps of 0.1 °C" in page


def test_a_downloaded_table_with_fahrenheit_in_it_is_analysed_without_that_flag(
    application: Flask, desk: Reader, a_class: AClass, tmp_path: Path
) -> None:
    _others(a_class)
    units = {"start_temperature_unit": "°F", "end_temperature_unit": "°F"}
    _from_a_phone(application, a_class, **IN_F, **units)
    table = tmp_path / "runs.csv"
    table.write_bytes(desk.get(f"/desk/{a_class.practical_id}/runs.csv").data)
    assert "21.4444" in table.read_text(encoding="utf-8"), "in °C, as the column says"
    done = CliRunner().invoke(analyse, [str(table), "--accepted", "128", "--json"])
    assert done.exit_code == 0, done.output
    runs = json.loads(done.output)["runs"]
    assert len(runs) == 17
    assert [run["bench"] for run in runs if MARKS in [flag["rule"] for flag in run["flags"]]] == []


def test_fahrenheit_typed_as_celsius_is_still_suspected(application: Flask, a_class: AClass) -> None:
    _others(a_class)
    bench = a_class.join(9)
    slipped = an_entry(start="66.6", end="70.6")
    enter_run(a_class.database, actor=bench, key=new_key(), entry=slipped, now=NOW)
    result = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).result
    assert result is not None
    (slip,) = [run.suspected_slip for run in result.runs if run.suspected_slip]
    assert slip.slip == "fahrenheit"
