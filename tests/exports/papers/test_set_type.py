"""How the lines of cards and reports are set: sizes, distances between lines, and what leads the eye."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache

import pytest
from pypdf import PageObject, PdfReader

from app.exports.papers.card_text import BenchCard, bench_card
from app.exports.papers.cards import cards_pdf
from app.exports.papers.report_parts import Numbers, Paragraph, Report, Section
from app.exports.papers.typeface import figures_kept
from app.figures.look import SIZES
from app.words import Message
from tests.exports.papers.test_card_layout import _page
from tests.exports.papers.test_cards import PLAN
from tests.exports.papers.test_report import NOW, _printed, _report

MM = 72 / 25.4
Line = tuple[str, float, float, float]
"""Text, mm from the left, mm from the top, points."""


def lines_of(page: PageObject) -> list[Line]:
    height = float(page.mediabox.height)
    found: list[Line] = []

    def note(text: str, _cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            found.append((text.strip(), tm[4] / MM, (height - tm[5]) / MM, size))

    page.extract_text(visitor_text=note)
    return found


def a_card(*steps: str) -> BenchCard:
    """With words of its own, few enough for the largest type."""
    made = bench_card(PLAN, heading="10B", held_on="", address="http://a.example", code="AXFC749")
    own = tuple(Message(step) for step in steps)
    return replace(made, steps=own, safety=(Message("Take care of the tube."),))


LONG = (
    "has words enough to need more than a single line of a card, however wide the column is, and then some."
)


@cache
def card(per_page: int) -> list[Line]:
    """Three steps: long, long, short."""
    own = a_card(f"The first {LONG}", f"The second {LONG}", "The third is short.")
    body = cards_pdf([own], say=str, per_page=per_page)
    return lines_of(PdfReader(io.BytesIO(body)).pages[0])


def the_line(lines: list[Line], begins: str) -> Line:
    return next(line for line in lines if line[0].startswith(begins))


def after(lines: list[Line], begins: str) -> Line:
    return lines[1 + next(i for i, line in enumerate(lines) if line[0].startswith(begins))]


@pytest.mark.parametrize(("per_page", "em"), [(1, 1.30), (2, 1.19)])
def test_the_lines_of_a_card_are_apart_as_in_print(per_page: int, em: float) -> None:
    """From 1.2 to 1.45 of the size is usual; where two cards share a page a hair less (common practice)."""
    lines = card(per_page)
    first, second = the_line(lines, "The first"), after(lines, "The first")
    assert (second[2] - first[2]) * MM / first[3] == pytest.approx(em, abs=0.01)
    assert first[1] == second[1]


@pytest.mark.parametrize(("per_page", "gap_mm"), [(1, 0.8), (2, 0.4)])
def test_steps_stand_a_little_apart_behind_their_numbers(per_page: int, gap_mm: float) -> None:
    lines = card(per_page)
    number = next(line for line in lines if line[0] == "2")
    step = the_line(lines, "The second")
    assert step[1] - number[1] == pytest.approx(5.0, abs=0.05)
    assert step[2] == number[2]
    last = lines[lines.index(number) - 1]
    within = after(lines, "The first")[2] - the_line(lines, "The first")[2]
    assert number[2] - last[2] - within == pytest.approx(gap_mm, abs=0.03)


@pytest.mark.parametrize(("per_page", "column_mm"), [(1, 52), (2, 60)])
def test_names_take_three_fifths_of_their_column_and_their_values_two(
    per_page: int, column_mm: float
) -> None:
    lines = card(per_page)
    name, value = the_line(lines, "Inversions"), the_line(lines, "50")
    assert value[1] - name[1] == pytest.approx(0.6 * column_mm, abs=0.05)
    below = the_line(lines, "Tube length")
    line = after(lines, "The first")[2] - the_line(lines, "The first")[2]
    assert below[2] - name[2] - line > 0.28, "pairs are told apart from lines"


@pytest.mark.parametrize(("per_page", "side_mm"), [(1, 20), (2, 15)])
def test_headings_are_a_point_larger_and_name_and_code_stand_out(per_page: int, side_mm: float) -> None:
    lines = card(per_page)
    size = the_line(lines, "The first")[3]
    for heading in ("Your numbers", "What to do", "Take care", "If the network is down"):
        assert the_line(lines, heading)[3] == size + 1
    assert the_line(lines, "Bench 7")[3] == pytest.approx(max(size + 3, 0.8 * side_mm))
    assert the_line(lines, "Bench 7")[1] == pytest.approx(12 + side_mm + 4, abs=0.05)
    assert the_line(lines, "10B")[3] == size
    assert the_line(lines, "7")[3] == pytest.approx(1.4 * side_mm), "the mark's number fills its disc"
    assert the_line(lines, "Code AXF")[3] == pytest.approx(1.05 * size, abs=0.01)
    assert the_line(lines, "a.example")[3] == size, "as it is typed, without http://"


@pytest.mark.parametrize(("per_page", "points"), [(1, 11.0), (2, 9.5)])
def test_a_card_with_few_words_is_set_in_the_largest_type(per_page: int, points: float) -> None:
    assert the_line(card(per_page), "The first")[3] == points


def test_a_card_with_words_for_several_is_set_in_the_smallest_type_and_the_closest_lines() -> None:
    """8 pt, and 0.37 mm for each of them."""
    own = a_card(*[f"A step {LONG}"] * 40)
    lines = lines_of(PdfReader(io.BytesIO(cards_pdf([own], say=str, per_page=2))).pages[0])
    first, second = the_line(lines, "A step"), after(lines, "A step")
    assert first[3] == 8
    assert second[2] - first[2] == pytest.approx(0.37 * 8, abs=0.01)


@pytest.mark.parametrize("per_page", [1, 2])
def test_the_type_is_no_smaller_than_the_card_needs_by_a_quarter_of_a_point(per_page: int) -> None:
    """The foot of the last line keeps to the margin, and a step larger would not."""
    lines = lines_of(_page(per_page))
    size = the_line(lines, "Weigh out")[3]
    assert (4 * size).is_integer()
    foot_mm = max(line[2] for line in lines if per_page == 1 or line[2] < 297 / 2)
    end_mm = (297 - 10) if per_page == 1 else 297 / 2 - 7.5
    assert end_mm - 0.1 * end_mm < foot_mm < end_mm


@pytest.mark.parametrize(
    ("per_page", "under_the_mark", "over_the_table", "in_the_table"),
    [(1, 8.0, 14.0, 5.4), (2, 5.3, 5.7, 6.5)],
)
def test_the_parts_of_a_card_stand_apart(
    per_page: int, under_the_mark: float, over_the_table: float, in_the_table: float
) -> None:
    """In mm from foot to foot: from the mark of 20 or 15 mm to the first heading, from the last step to the
    table's, and from that to the names of its columns."""
    lines = card(per_page)
    foot_of_mark = (12 + 20) if per_page == 1 else (7.5 + 15)
    assert the_line(lines, "Your numbers")[2] - foot_of_mark == pytest.approx(under_the_mark, abs=0.3)
    heading = the_line(lines, "If the network is down")
    assert heading[2] - the_line(lines, "The third")[2] == pytest.approx(over_the_table, abs=0.3)
    assert the_line(lines, "Run")[2] - heading[2] == pytest.approx(in_the_table, abs=0.3)


def test_a_report_s_lines_are_apart_as_in_print_and_its_heads_are_larger() -> None:
    """From 1.2 to 1.45 of the size is usual in print (common practice)."""
    words = "a long line of plain words that fills the page from one side to the other " * 3
    report = Report("Title", "today", ("under",), (Section("Heading", (Paragraph(words),)),))
    lines = lines_of(_printed(report).pages[0])
    first, second = the_line(lines, "a long line"), after(lines, "a long line")
    assert 1.2 < (second[2] - first[2]) * MM / first[3] < 1.45
    assert [the_line(lines, one)[3] for one in ("Title", "under", "Heading", "a long line")] == [
        20,
        9.5,
        13,
        9.5,
    ]
    assert {round(line[1], 1) for line in lines if "today" not in line[0]} == {13.0}, "12 mm and a mm"
    assert the_line(lines, "Heading")[2] - the_line(lines, "under")[2] > 2 * (second[2] - first[2])


def test_a_report_s_page_number_stands_in_the_middle_of_its_foot() -> None:
    (line,) = [line for line in lines_of(_printed(_report()).pages[0]) if line[0].endswith(" 1/1")]
    assert line[3] == 8
    assert 70 < line[1] < 105
    assert 297 - 12 < line[2] < 297 - 8


def test_a_report_s_figure_keeps_its_smallest_words_at_eight_points_and_stands_where_lines_start() -> None:
    contents = _printed(_report()).pages[0].get_contents()
    assert contents is not None
    placed = re.findall(
        r"q ([\d.]+) 0 0 ([\d.]+) ([\d.]+) [\d.]+ cm /I1 Do", contents.get_data().decode("latin1")
    )
    ((width, height, left),) = placed
    assert float(width) * SIZES["page"].small / SIZES["page"].width > 7.99
    assert float(height) / float(width) == pytest.approx(5 / 8, abs=0.01), "as the picture is"
    assert float(left) / MM == pytest.approx(12, abs=0.1)
    assert float(width) / MM == pytest.approx(0.6 * 186, abs=1), "three fifths, the numbers beside it"


def test_a_table_keeps_its_widths_and_reads_from_the_right_in_arabic() -> None:
    numbers = Numbers("T", ("one", "two", "three"), (("a", "b", "c"),), widths=(1, 2, 1))
    report = Report("Title", "today", (), (Section("Heading", (numbers,)),))
    lines = lines_of(_printed(report).pages[0])
    one, two, three = (the_line(lines, head)[1] for head in ("one", "two", "three"))
    assert two - one == pytest.approx(186 / 4, abs=0.5)
    assert three - two == pytest.approx(186 / 2, abs=0.5)
    arabic = lines_of(_printed(report, "ar", str).pages[0])
    places = {text.strip("\u200e"): left for text, left, _, _ in arabic}
    assert places["one"] > places["two"] > places["three"]
    assert places["one"] > 210 - 12 - 186 / 4


def test_a_table_without_rows_prints_nothing_and_a_strong_paragraph_is_bold() -> None:
    blocks = (Numbers("T", ("one", "two"), ()), Paragraph("strong words", strong=True), Paragraph("plain"))
    page = _printed(Report("Title", "today", (), (Section("Heading", blocks),))).pages[0]
    assert "one" not in page.extract_text()
    fonts: dict[str, str] = {}

    def note(text: str, _cm: list[float], _tm: list[float], font: dict[str, str], _size: float) -> None:
        if text.strip():
            fonts[text.strip()] = str(font["/BaseFont"])

    page.extract_text(visitor_text=note)
    assert fonts["strong words"].endswith("Bold")
    assert fonts["Heading"].endswith("HeadBold")
    assert not fonts["plain"].endswith("Bold")


def test_a_heading_is_not_left_alone_at_the_foot_of_a_page() -> None:
    """45 mm are left below it: a heading, a finding and some lines."""
    on_page: dict[int, tuple[int, float]] = {}
    for rows in (4, 12, 20, 28, 36):
        for number, page in enumerate(_printed(_report(rows)).pages):
            for text, _, top, _ in lines_of(page):
                if text == "Second":
                    on_page[rows] = (number, top)
    pages = [page for page, _ in on_page.values()]
    assert pages == sorted(pages)
    assert {0, 1} == set(pages)
    assert max(top for page, top in on_page.values() if page == 0) < 297 - 20 - 45 + 10


def test_a_report_knows_when_it_was_made() -> None:
    made = _printed(_report()).metadata
    assert made is not None
    assert made.creation_date == NOW


@pytest.mark.parametrize("language", ["en", "ar"])
def test_the_decimal_marks_of_a_column_are_under_each_other(language: str) -> None:
    """Numbers with as many digits before the mark begin at one place, whatever comes behind it."""
    rows = tuple((one, "words") for one in ("7", "9.55", "3.5 ± 0.25", "4 g", "–", "142.5"))
    report = Report("Title", "today", (), (Section("Heading", (Numbers("T", ("c", "why"), rows),)),))
    printed = lines_of(_printed(report, language, str).pages[0])
    places = {text.strip("\u200e"): left for text, left, _, _ in printed}
    starts = [places[one] for one in ("7", "9.55", "3.5 ± 0.25", "4 g")]
    assert starts == pytest.approx([starts[0]] * 4, abs=0.05)
    assert places["142.5"] < starts[0] - 2


def test_numbers_with_their_uncertainty_are_kept_from_turning_round_with_their_unit() -> None:
    mark = "\u200e"
    kept = f"{mark}204.1{mark}\u00a0{mark}±{mark}\u00a0{mark}8.2{mark}\u00a0{mark}J/(kg·K){mark}"
    assert figures_kept("قيمة 204.1 ± 8.2 J/(kg·K).") == f"قيمة {kept}."


def test_a_sentence_that_begins_with_a_figure_is_read_from_the_right_on_an_arabic_card() -> None:
    """A line is drawn from left to right, so what is read first is drawn last."""
    body = cards_pdf([a_card("2.5 cm قلبة")], say=str, right_to_left=True)
    drawn = PdfReader(io.BytesIO(body)).pages[0].extract_text()
    assert drawn.index("قلبة") < drawn.index("2.5")
