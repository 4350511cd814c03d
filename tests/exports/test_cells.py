"""No text begins a formula in a spreadsheet, whichever of the three separators it parts the table at.

What begins a formula: OWASP, "CSV Injection": = + - @ tab and carriage return, and their full-width forms.
"""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.analysis.readings import RunReadings
from app.exports.cells import original_text, safe_text
from tests.run_tables import read_run_table, write_run_table

STARTS = "=+-@＝＋－＠\t\r\n"
ODD = st.text(alphabet="=+-@＝;,\t\r\n \"'x1.", max_size=14)


def _parted(text: str, delimiter: str) -> list[str]:
    """The cells that a spreadsheet sees which parts a comma-separated line at this separator."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerow(["a", text, "b"])
    rows = csv.reader(io.StringIO(out.getvalue(), newline=""), delimiter=delimiter)
    return [cell for row in rows for cell in row]


def _begins_a_formula(cell: str) -> bool:
    bare = cell.lstrip(' "')
    number = bare.lstrip("+-").replace(".", "", 1).replace(",", "", 1)
    return bare.startswith(tuple(STARTS)) and not (number.isascii() and number.isdigit())


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@given(text=ODD)
@example(text="x ;=1+1;")
@example(text='x;"=1+1"')
@example(text='x; " =1+1')
@example(text="x\t=1+1")
@example(text="x\r\n=1+1")
@example(text="; ;@x")
@example(text="＝1+1")
def test_no_cell_begins_a_formula(delimiter: str, text: str) -> None:
    cells = _parted(safe_text(text), delimiter)
    assert [cell for cell in cells if _begins_a_formula(cell)] == []


@given(ODD)
@example("'=x")
@example("x;'=1")
@example(";\t=")
def test_what_was_guarded_comes_back_as_it_was(text: str) -> None:
    assert original_text(safe_text(text)) == text


def test_harmless_text_and_numbers_stay_as_they_are() -> None:
    for text in ("spilled; swept up", "a=b, -2 °C", "-9.81", "+3", "3 - 4", "thermometer's bulb; 'new'"):
        assert safe_text(text) == text


@given(st.text(alphabet="=+-@;\"'x1 ,", min_size=1, max_size=10).filter(lambda text: text == text.strip()))
def test_a_label_is_read_back_as_it_was_written(label: str) -> None:
    run = RunReadings(label, "1", 0.34, 1.0, 0.05, 50.0, 19.2, 21.4)
    (read,) = read_run_table(write_run_table([run]))
    assert read == run
