"""The report's pages hold its sections, in the order given, in every language we speak."""

from __future__ import annotations

import io
import re
import zlib
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from app.exports.papers.report import report_pdf
from app.exports.papers.report_parts import Abreast, Figure, Headline, Numbers, Paragraph, Report, Section
from app.exports.papers.typeface import figures_kept
from app.physics.limits import LONGEST_TYPED
from app.words import Message
from tests.exports.papers.type_sizes import sizes_on

NOW = datetime(2031, 3, 6, 11, 0, tzinfo=UTC)


def a_png() -> bytes:
    """A white picture of 8 by 5 dots, written by hand (PNG specification, W3C 2003, 5 and 11)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data).to_bytes(4, "big")
        return len(data).to_bytes(4, "big") + kind + data + check

    head = (8).to_bytes(4, "big") + (5).to_bytes(4, "big") + bytes([8, 0, 0, 0, 0])
    dots = zlib.compress((b"\0" + b"\xff" * 8) * 5)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", dots) + chunk(b"IEND", b"")


def _report(rows: int = 2) -> Report:
    numbers = Numbers(
        "Readings", ("bench", Message("mass")), tuple((str(i), f"{i} <g> & 50 %") for i in range(rows))
    )
    figure = Figure("spread", Message("The class agrees."), (Message("A figure of it."),))
    return Report(
        "Year 9 & friends",
        "6 March 2031",
        ("6 March 2031",),
        (Section("First", (Paragraph("plain words"), numbers)), Section(Message("Second"), (figure,))),
    )


def _printed(report: Report, language: str = "en", say: object = str, paper: str = "A4") -> PdfReader:
    body = report_pdf(
        report,
        say=say,  # type: ignore[arg-type]
        picture=lambda name: a_png(),
        language=language,
        right_to_left=language == "ar",
        now=NOW,
        paper=paper,
    )
    return PdfReader(io.BytesIO(body))


def test_words_tables_and_figures_are_printed_in_order_and_as_typed() -> None:
    pages = _printed(_report())
    text = " ".join(page.extract_text() for page in pages.pages)
    order = [
        "Year 9 & friends",
        "6 March 2031",
        "First",
        "plain words",
        "1 <g> & 50 %",
        "Second",
        "The class agrees.",
    ]
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert sum(len(page.images) for page in pages.pages) == 1
    assert pages.metadata is not None
    assert pages.metadata.title == "Year 9 & friends"
    assert pages.root_object["/Lang"] == "en"


def test_a_long_table_repeats_its_head_on_every_page_and_loses_no_row() -> None:
    pages = _printed(_report(rows=200)).pages
    text = [page.extract_text() for page in pages]
    with_rows = [words for words in text if "<g>" in words]
    assert len(with_rows) > 2
    assert all("mass" in words for words in with_rows)
    assert sum(words.count("<g>") for words in text) == 200


def test_a_finding_stays_on_the_page_of_its_figure() -> None:
    for rows in range(20, 48, 3):
        for page in _printed(_report(rows)).pages:
            assert ("The class agrees." in page.extract_text()) == bool(page.images)


def test_an_arabic_report_has_its_letters_in_every_face_and_names_its_language() -> None:
    """Table head, heading, finding and page number: a face without Arabic letters would print nothing."""
    pages = _printed(_report(), "ar", lambda message: "سعة حرارية")
    text = " ".join(page.extract_text() for page in pages.pages)
    assert text.count("سعة حرارية") == 3
    assert "1 <g> & 50 %" in text
    fonts = {str(font["/BaseFont"]) for page in pages.pages for font in _fonts(page)}
    assert any("DejaVu" in font for font in fonts)
    assert pages.root_object["/Lang"] == "ar"


def test_a_report_is_set_in_the_faces_of_the_pages_and_a_sign_without_one_in_another() -> None:
    fonts = {str(font["/BaseFont"]) for page in _printed(_report()).pages for font in _fonts(page)}
    assert {font.split("+")[-1] for font in fonts} == {"PlumbHeadBold", "PlumbText", "PlumbTextSemiBold"}
    pages = _printed(_report(), say=lambda message: f"{message} ☰")
    fonts = {str(font["/BaseFont"]) for page in pages.pages for font in _fonts(page)}
    assert any("DejaVu" in font for font in fonts)


def _fonts(page: object) -> list[dict[str, object]]:
    resources = page["/Resources"]["/Font"]  # type: ignore[index]
    return [font.get_object() for font in resources.values()]


@pytest.mark.parametrize(("paper", "size"), [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_nothing_is_printed_under_eight_points_on_either_paper(paper: str, size: tuple[float, float]) -> None:
    """ISO 216 (A4) and ANSI/ASME Y14.1 (Letter, from memory) give the sizes."""
    pages = _printed(_report(rows=60), paper=paper).pages
    millimetres = [float(side) * 25.4 / 72 for side in pages[0].mediabox[2:]]
    assert millimetres == pytest.approx(size, abs=0.1)
    assert [words for page in pages for words, of in sizes_on(page).items() if of < 7.95] == []


def test_each_foot_names_the_lesson_its_day_and_the_page_of_how_many() -> None:
    pages = _printed(_report(rows=60)).pages
    for number, page in enumerate(pages, 1):
        assert f"Year 9 & friends · 6 March 2031 · {number}/{len(pages)}" in page.extract_text()


def test_numbers_end_on_one_line_and_words_do_not() -> None:
    rows = (("4", "263 ± 12", "–", "wild run", "−0.4 K"), ("12 ○", "9.5", "7 %", "12 of them", "2.1 K"))
    numbers = Numbers("Runs", ("bench", "c", "u", "why", "warming"), rows)
    assert numbers.numeric == (True, True, True, False, True)


def test_the_class_value_stands_large_before_everything_else() -> None:
    value = Headline("209.4", "J/(kg·K)", Message("95 %% interval"), "202.7 to 216.2")
    page = _printed(Report("T", "6 March 2031", (), (Section("Result", (value,)),))).pages[0]
    sizes = sizes_on(page)
    assert next(size for words, size in sizes.items() if "209.4" in words) == pytest.approx(20, abs=0.1)
    assert "95 % interval 202.7 to 216.2" in page.extract_text()


def test_the_band_of_the_class_value_has_an_edge_at_each_end() -> None:
    value = Headline("209.4", "J/(kg·K)", Message("95 %% interval"), "202.7 to 216.2")
    page = _printed(Report("Year 9", "6 March 2031", (), (Section("Result", (value,)),))).pages[0]
    contents = page.get_contents()
    assert contents is not None
    drawn = contents.get_data().decode("latin-1")
    number = r"(-?[\d.]+)"
    x, y, wide, high = map(float, re.findall(rf"{number} {number} {number} {number} re f", drawn)[0])
    assert 7 * 20 < x < x + wide < 595 - 40, "behind fourteen signs of half an em, before the margin of A4"
    edges = [
        tuple(map(float, one)) for one in re.findall(rf"{number} {number} m {number} {number} l S", drawn)
    ]
    assert len(edges) == 2
    for edge, at in zip(edges, (x, x + wide), strict=True):
        assert edge[::2] == pytest.approx((at, at), abs=0.02)
        assert sorted(edge[1::2]) == pytest.approx(sorted((y, y + high)), abs=0.02)


def test_a_figure_read_from_the_right_keeps_its_unit_behind_it() -> None:
    """Unicode Standard Annex 9: between two marks of direction a space goes from left to right."""
    mark = "\u200e"
    kept = f"{mark}209.4{mark}\u00a0{mark}J/(kg·K){mark}"
    assert figures_kept("قيمة 209.4 J/(kg·K)، ثم") == f"قيمة {kept}، ثم"
    assert figures_kept("قيمة \u2066209.4\u00a0J/(kg·K)\u2069") == f"قيمة {kept}"
    assert figures_kept("البداية /\u00a0°C") == f"البداية /\u00a0{mark}°C{mark}"


def test_what_is_too_long_for_its_column_is_printed_all_the_same() -> None:
    """As long as a form lets anybody type, in every column of a wide table."""
    typed = ("0." + "5" * (LONGEST_TYPED - 4) + " g",)
    long = Numbers("Runs", ("bench",) * 10, ((*typed * 10,), ("1",) * 10))
    table = Section("Table", (long, Abreast((long, Numbers("T", ("a",), (("b",),))))))
    for language in ("en", "ar"):
        text = "".join(
            page.extract_text() for page in _printed(Report("T", "day", (), (table,)), language).pages
        )
        assert text.count("5") >= 20 * (LONGEST_TYPED - 4)


def test_tables_too_high_for_a_page_stand_under_their_figure_or_each_other_and_lose_no_row() -> None:
    high = [Numbers(caption, ("run",), tuple((f"{caption}{row}",) for row in range(80))) for caption in "XYZ"]
    figure = Figure("spread", "The class agrees.", (), (high[0],))
    abreast = Abreast((high[1], high[2]), captioned=True)
    pages = _printed(Report("T", "day", (), (Section("All", (figure, abreast)),))).pages
    text = "\n".join(page.extract_text() for page in pages)
    for caption in "XYZ":
        assert re.findall(rf"{caption}\d+", text) == [f"{caption}{row}" for row in range(80)]
    assert text.index("X79") < text.index("\nY\n") < text.index("Y0\n") < text.index("\nZ\n")
    heights: dict[str, float] = {}
    pages[0].extract_text(visitor_text=lambda words, _cm, tm, *_: heights.update({words.strip(): tm[5]}))
    contents = pages[0].get_contents()
    assert contents is not None
    (foot_of_figure,) = map(float, re.findall(rb"([\d.]+) cm /I\d+ Do", contents.get_data()))
    assert heights["X0"] < heights["run"] < foot_of_figure < heights["The class agrees."]


def test_a_table_of_more_than_fourteen_lines_stands_in_two_halves_under_its_short_heads() -> None:
    rows = tuple((str(row),) for row in range(15))
    table = Numbers("T", ("number of the run",), rows, short=("run",))
    few = replace(table, rows=rows[:14])
    assert few.halved() == (few,)
    assert table.halved() == tuple(replace(table, head=("run",), rows=half) for half in (rows[:8], rows[8:]))


@pytest.mark.parametrize("language", ["en", "ar"])
def test_two_tables_beside_a_figure_stand_level_and_apart(language: str) -> None:
    short = [Numbers(caption, ("run",), tuple((f"{caption}{row}",) for row in range(5))) for caption in "XY"]
    figure = Figure("spread", "The class agrees.", (), tuple(short))
    (page,) = _printed(Report("T", "day", (), (Section("All", (figure,)),)), language).pages
    places: dict[str, tuple[float, float]] = {}
    page.extract_text(visitor_text=lambda words, _cm, tm, *_: places.update({words.strip(): (tm[4], tm[5])}))
    cells = {cell[0]: at for words, at in places.items() if (cell := re.search(r"[XY]\d", words))}
    for row in range(5):
        (x, level), (beside, level_too) = cells[f"X{row}"], cells[f"Y{row}"]
        assert level == level_too
        assert (beside - x > 20) if language == "en" else (x - beside > 20)
    assert all(20 < x < float(page.mediabox.width) - 20 for x, _ in cells.values())
