"""A report's tables take the room that was reckoned for them before they were set."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from app.exports.papers.report_page import TEXT_PT, Pages
from app.exports.papers.report_parts import Numbers
from app.exports.papers.report_tables import height_of_table, set_abreast, set_table
from app.look.faces import TEXT

TABLE = Numbers(
    "Readings",
    ("bench", "mass of the shot, g", "remark"),
    tuple((str(row), f"{340 + row}.5", "shaken and turned again " * row) for row in range(6)),
)


@pytest.fixture
def begun() -> Iterator[Callable[[bool], Pages]]:
    """Begins a report. It is printed at the end, which closes the files of its faces."""
    made: list[Pages] = []

    def begin(right_to_left: bool) -> Pages:
        pdf = Pages(str, right_to_left, "A4", ("Title", "today"))
        made.append(pdf)
        pdf.add_page()
        pdf.say_line("Words before it", TEXT, TEXT_PT)
        return pdf

    yield begin
    for pdf in made:
        pdf.output()


@pytest.mark.parametrize("right_to_left", [False, True])
@pytest.mark.parametrize("width_mm", [50.0, 90.0, 186.0])
def test_a_table_is_as_high_as_it_was_said_to_be(
    begun: Callable[[bool], Pages], width_mm: float, right_to_left: bool
) -> None:
    pdf = begun(right_to_left)
    said, top = height_of_table(pdf, TABLE, width_mm), pdf.y
    with pdf.column(0, width_mm):
        set_table(pdf, TABLE)
    assert pdf.y - top == pytest.approx(said, abs=0.01)


@pytest.mark.parametrize(("left_mm", "page"), [(10.0, 1), (5.0, 2)])
def test_tables_under_captions_stay_on_a_page_that_has_room_for_both(
    begun: Callable[[bool], Pages], left_mm: float, page: int
) -> None:
    """A caption takes one line of 9.5 pt, 4.6 mm, and 1.1 mm under it."""
    pdf = begun(False)
    high = height_of_table(pdf, TABLE, pdf.epw)
    pdf.set_y(pdf.page_break_trigger - high - left_mm)
    set_abreast(pdf, (TABLE,), captioned=True)
    assert pdf.page == page
