"""Where the parts of a bench card stand: the way in, the table to write in, the line to cut along."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import pairwise

import pytest
import segno
from pypdf import PageObject, PdfReader

from app.exports.papers.card_text import bench_card
from app.exports.papers.cards import cards_pdf
from app.look.tokens import PRINT_INKS
from tests.exports.papers.test_cards import PLAN, POINTS
from tests.exports.papers.type_sizes import sizes_on

MM = 72 / 25.4
PAGE_W, PAGE_H = POINTS["A4"]
MARGIN = 12 * MM
Rectangle = tuple[float, float, float, float]


def _page(per_page: int = 1, *, right_to_left: bool = False) -> PageObject:
    cards = [
        bench_card(
            replace(PLAN, number=number),
            heading="10B",
            held_on="",
            address="http://a.example",
            code="AXFC749",
        )
        for number in (7, 8)
    ]
    body = cards_pdf(cards, say=str, per_page=per_page, right_to_left=right_to_left)
    return PdfReader(io.BytesIO(body)).pages[0]


def _drawn(page: PageObject) -> str:
    contents = page.get_contents()
    assert contents is not None
    return contents.get_data().decode("latin1")


def _rectangles(page: PageObject, painted: str) -> list[Rectangle]:
    """Left, top, width and height in points, from the top of the page down: filled (f) or ruled (S)."""
    found = re.findall(rf"([\d.]+) ([\d.]+) ([\d.]+) -([\d.]+) re {painted}\b", _drawn(page))
    return [(float(x), PAGE_H - float(y), float(w), float(h)) for x, y, w, h in found]


def _places(page: PageObject) -> dict[str, tuple[float, float]]:
    """Where each piece of text begins, down from the top of the page."""
    places: dict[str, tuple[float, float]] = {}

    def note(text: str, _cm: list[float], tm: list[float], _font: object, _size: float) -> None:
        if text.strip():
            places.setdefault(text.strip(), (tm[4], PAGE_H - tm[5]))

    page.extract_text(visitor_text=note)
    return places


@pytest.mark.parametrize(("per_page", "side_mm"), [(1, 42), (2, 28)])
def test_the_code_on_a_card_has_every_module_of_its_link(per_page: int, side_mm: float) -> None:
    """Against segno's own matrix; 28 mm for 33 modules is read from across a bench (common practice)."""
    modules = _rectangles(_page(per_page), "f")[: sum(map(sum, _matrix()))]
    left, top = min(x for x, *_ in modules), min(y for _, y, *_ in modules)
    side = side_mm * MM / len(_matrix())
    found = {(round((y - top) / side), round((x - left) / side)) for x, y, *_ in modules}
    assert found == {
        (row, column) for row, line in enumerate(_matrix()) for column, dark in enumerate(line) if dark
    }
    for _, _, width, height in modules:
        assert side <= width <= 1.03 * side
        assert side <= height <= 1.03 * side


def _matrix() -> tuple[bytearray, ...]:
    link = "http://a.example/j/AXFC749?bench=7"
    return tuple(segno.make(link, error="m", micro=False).matrix)


@pytest.mark.parametrize(("per_page", "rows", "row_mm"), [(1, 4, 10), (2, 3, 7)])
def test_the_table_to_write_in_has_rows_that_a_hand_can_fill(per_page: int, rows: int, row_mm: float) -> None:
    ruled = _rectangles(_page(per_page), "S")[: 7 * (rows + 1)]
    head, *lines = (ruled[start : start + 7] for start in range(0, len(ruled), 7))
    assert len(lines) == rows
    for line in lines:
        assert {round(height / MM, 1) for *_, height in line} == {row_mm}
        first, *others = (width for _, _, width, _ in line)
        assert others == pytest.approx([first] * 6, abs=0.02)
        assert [x for x, *_ in line] == [x for x, *_ in head]
        assert line[-1][0] + line[-1][2] == pytest.approx(PAGE_W - MARGIN, abs=0.1)
        for before, after in pairwise(line):
            assert after[0] == pytest.approx(before[0] + before[2], abs=0.02)
    for above, below in pairwise([head, *lines]):
        assert below[0][1] == pytest.approx(above[0][1] + above[0][3], abs=0.02)


def test_each_row_of_the_table_has_the_number_of_its_run() -> None:
    page = _page()
    lines = [_rectangles(page, "S")[start] for start in range(7, 35, 7)]
    written: dict[str, tuple[float, float]] = {}

    def note(text: str, _cm: list[float], tm: list[float], _font: object, _size: float) -> None:
        if text.strip().isdigit():
            written[text.strip()] = (tm[4], PAGE_H - tm[5])  # the last of its kind is the table's

    page.extract_text(visitor_text=note)
    for number, (left, top, width, height) in enumerate(lines, 1):
        x, y = written[str(number)]
        assert left + 0.3 * width < x < left + 0.6 * width
        assert top + 0.4 * height < y < top + 0.8 * height


def test_numbers_steps_and_the_way_in_stand_side_by_side_and_the_care_below_all() -> None:
    page = _page()
    places = _places(page)
    numbers, steps = places["Your numbers"], places["What to do"]
    (code_x, code_y), (care_x, care_y) = places["Code AXF C749"], places["Take care"]
    assert numbers[1] == steps[1] > MARGIN + 22 * MM, "below the bench's mark"
    assert MARGIN - 0.1 <= numbers[0] < steps[0] - 52 * MM
    assert steps[0] < code_x
    assert code_x == pytest.approx(PAGE_W - MARGIN - 42 * MM, abs=0.1)
    table = _rectangles(page, "S")
    assert max(steps[1], code_y) < table[0][1]
    assert care_y > table[-1][1] + table[-1][3]
    assert care_x == pytest.approx(MARGIN, abs=0.1)
    columns = [x for text, (x, _) in places.items() if text.startswith(("Local rules", "Lead goes"))]
    assert columns == pytest.approx([MARGIN + 3 * MM, MARGIN + (90 + 6 + 3) * MM], abs=0.1)


def test_on_half_a_page_the_way_in_is_beside_its_code_and_the_steps_beside_both() -> None:
    page = _page(2)
    places = _places(page)
    modules = _rectangles(page, "f")[: sum(map(sum, _matrix()))]
    assert min(x for x, *_ in modules) == pytest.approx(MARGIN, abs=0.1)
    assert places["Code AXF C749"][0] == pytest.approx(MARGIN + (28 + 3.5) * MM, abs=0.1)
    assert places["What to do"][0] == pytest.approx(MARGIN + (60 + 6) * MM, abs=0.1)
    assert places["Your numbers"][0] == places["Take care"][0] == pytest.approx(MARGIN, abs=0.1)
    foot = max(y + height for _, y, _, height in modules)
    assert places["Take care"][1] > foot


def test_without_an_address_a_card_says_so_where_the_way_in_would_be() -> None:
    card = bench_card(PLAN, heading="10B", held_on="", address=None, code=None)
    for per_page, left in ((1, PAGE_W - MARGIN - 42 * MM), (2, MARGIN)):
        page = PdfReader(io.BytesIO(cards_pdf([card], say=str, per_page=per_page))).pages[0]
        begins = [x for text, (x, _) in _places(page).items() if text.startswith("No address")]
        assert begins == [pytest.approx(left, abs=0.1)]


def test_the_bench_stands_in_large_type_beside_its_mark() -> None:
    page = _page()
    places, sizes = _places(page), sizes_on(page)
    bench, mark = places["Bench 7"], places["7"]
    assert sizes["Bench 7"] == 16.0, "four fifths of the mark's side"
    assert MARGIN < mark[0] < MARGIN + 20 * MM < bench[0]
    assert bench[1] < MARGIN + 20 * MM


def test_from_right_to_left_a_card_is_mirrored() -> None:
    page = _page(right_to_left=True)
    code = _rectangles(page, "f")[: sum(map(sum, _matrix()))]
    assert min(x for x, *_ in code) == pytest.approx(MARGIN, abs=0.1)
    first, second, *_ = _rectangles(page, "S")
    assert first[0] + first[2] == pytest.approx(PAGE_W - MARGIN, abs=0.1)
    assert second[0] < first[0]


def test_only_the_line_between_two_cards_is_dashed_and_it_halves_the_page() -> None:
    drawn = _drawn(_page(2))
    (line,) = re.findall(r"([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l S", drawn)
    x1, y1, x2, y2 = map(float, line)
    assert (x1, x2) == (0, pytest.approx(PAGE_W, abs=0.1))
    assert y1 == y2 == pytest.approx(PAGE_H / 2, abs=0.1)
    dashed, solid = re.findall(r"\[([\d. ]*)\] [\d.]+ d", drawn)
    assert (len(dashed.split()), solid) == (2, "")
    assert drawn.index("] 0.000 d") < drawn.index(" l S") < drawn.index("[] 0 d")
    assert " l S" not in _drawn(_page(1))


@pytest.mark.parametrize("per_page", [1, 2])
def test_only_the_number_in_a_mark_is_white_and_all_other_words_are_in_ink(per_page: int) -> None:
    drawn = _drawn(_page(per_page))
    coloured = re.findall(r"Td ([\d. ]+ r?g) \(", drawn)
    ink = " ".join(f"{int(PRINT_INKS.ink[at : at + 2], 16) / 255:.4f}" for at in (1, 3, 5))
    assert coloured.count("1 g") == per_page
    assert set(coloured) == {"1 g", f"{ink} rg"}
    assert drawn.count("\n0 g\n") == per_page, "and the code is black"


def test_the_line_to_cut_along_is_in_soft_ink() -> None:
    soft = " ".join(f"{int(PRINT_INKS.soft[at : at + 2], 16) / 255:.4f}" for at in (1, 3, 5))
    strokes = re.findall(r"([\d.]+ [\d.]+ [\d.]+) RG| (l) S", _drawn(_page(2)))
    of_line = [colour for (colour, _), (_, line) in pairwise(strokes) if line]
    assert of_line == [soft]
