"""A table from elsewhere that is not understood: each thing that is wrong is said, and nothing is stored."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from app.records.engine import Database
from app.records.errors import Unprocessable
from app.records.models import Practical
from tests.practicals.seen import count
from tests.web.department.bring_in.test_table import CSV, HEAD, TABLE, look, shown, store
from tests.web.desk.conftest import Reader

WRONG: list[tuple[str, str, dict[str, str], list[str]]] = [
    ("0,250;100;50;66,2;21,3", "0.250;100;50;66,2;21,3", {}, ["another decimal mark than was chosen: 5."]),
    ("6.3.2031", "06/03/2031", {"day_style": ""}, ["more than one way"]),
    (";;6.3.2031", ";;7.3.2031", {}, ["rows differ"]),
    (";;6.3.2031", ";;31.31.2031", {}, ["no day of this style"]),
    ("7;1;", ";1;", {}, ["Row 4", "The bench is missing."]),
    ("7;1;", "7;2;", {}, ["Row 4", "Row 3 is the same run"]),
    ("50;66,2;21,5", "49,5;66,2;21,5", {}, ["Row 4", "not a whole number"]),
    ("21,2", "warm", {}, ["Row 6", "not a number"]),
    ("21,2", "", {}, ["Row 6", "This reading is missing"]),
    ("21,2", "=1+1", {}, ["Row 6", "not a number"]),
    ("yes", "perhaps", {}, ["Row 5", "write yes"]),
    ("Group", "Group", {"column_bench": ""}, ["Say which column names the bench"]),
    ("Group", "Group", {"column_tube_length": ""}, ["type what is the same for all rows"]),
    ("Group", "Group", {"same_end_allowance": "2 m"}, ["Row 3", "less than the tube length"]),
    (
        "Group",
        "Group",
        {"material": "", "title": " ", "thermometer_step": "9"},
        ["Choose the metal", "a title", "step"],
    ),
    ("Group", "Group", {"accepted": "5"}, ["between 10 and 10000"]),
    ("Group", "Group", {"heading_row": "99"}, ["no such row"]),
    ("Group", "Group", {"heading_row": "6"}, ["There is no row below the headings."]),
    ("Group", "Group", {"decimal_mark": ""}, ["Choose the decimal mark"]),
    ("Group", "Group", {"unit_shot_mass": ""}, ["Choose the unit of this column"]),
    ("Group", "Group", {"accepted": "128"}, ["Say where the accepted value comes from"]),
    ("Group", "Group", {"accepted": "128", "accepted_source": "s" * 401}, ["in up to 400 characters"]),
    ("Group", "Group", {"column_title": "1", "column_run": ""}, ["differ in this column (2 and others)"]),
    (
        "7;2;",
        f"7;{'w' * 41};",
        {"column_title": "1", "column_run": ""},
        [f"differ in this column ({'w' * 40} and others)"],
    ),
]


def test_what_is_wrong_is_said_by_row_with_all_that_was_typed_and_nothing_is_stored(
    desk: Reader, sqlite_database: Database
) -> None:
    for before, after, answers, told in WRONG:
        answer = look(desk, CSV.replace(before, after).encode(), **answers)
        assert answer.status_code == 422, told
        page = html.unescape(answer.text)
        assert [sentence for sentence in told if sentence not in page] == []
        assert shown(answer)["same_end_allowance"] == answers.get("same_end_allowance", "5 cm")
        assert desk.post(TABLE, **shown(answer), action="store").status_code == 422
    for row, cells in (("2", HEAD.split(";")), ("x", ["Autumn results"])):
        page = html.unescape(look(desk, CSV.encode(), heading_row=row).text)
        offered = re.findall(
            r">([^<>]+)</option>", page.partition('name="column_bench"')[2].partition("</select>")[0]
        )
        assert [cell for cell in cells if not any(cell in one for one in offered)] == [], row
    assert look(desk, f"{CSV}\nMean;;;;;;21,4;;".encode(), rows_out="7").status_code == 200
    assert look(desk, CSV.encode(), accepted="128", accepted_source="s" * 400).status_code == 200
    assert count(sqlite_database, Practical) == 0


def test_a_class_has_at_most_99_benches(desk: Reader) -> None:
    for benches, status in ((99, 200), (100, 422)):
        rows = (f"g{number};1;0,340;100;50;66,2;21,4;;6.3.2031" for number in range(benches))
        answer = look(desk, "\n".join(("Autumn results;;;;;;;;", HEAD, *rows)).encode())
        assert answer.status_code == status
        assert ("A class has at most 99 benches." in html.unescape(answer.text)) == (status == 422)


class Refused(Unprocessable):
    """What the records know and the form does not."""

    sentence = "The records know better."


def test_what_the_records_refuse_comes_back_as_it_was_typed(
    desk: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_args: Any, **_named: Any) -> None:
        raise Refused

    looked = look(desk, CSV.encode())
    monkeypatch.setattr("app.web.department.bring_in.table.bring_in_table", refused)
    answer = store(desk, looked)
    assert answer.status_code == 422
    assert Refused.sentence in html.unescape(answer.text)
    assert shown(answer)["title"] == "Period 2"
