"""Where every line, word and rule of a printed page stands, kept as text (`tests/kept_text.py`).

    python -m tests.exports.papers.kept

writes the files anew. Look at the pages, and at what `git diff` says, before you keep them.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from functools import partial
from itertools import groupby
from pathlib import Path

from pypdf import PdfReader
from pypdf.generic import ArrayObject, ContentStream, FloatObject, NumberObject

from app.exports.papers.card_text import bench_card
from app.exports.papers.cards import Paper, cards_pdf
from app.exports.papers.kit_labels import KitLabel, labels_pdf
from app.exports.papers.report import report_pdf
from app.exports.papers.report_parts import Abreast, Figure, Headline, Numbers, Paragraph, Report, Section
from app.words import Message
from tests.exports.papers.test_cards import PLAN
from tests.exports.papers.test_report import NOW, a_png
from tests.exports.papers.test_set_type import a_card
from tests.kept_text import Drawings, keep

FOLDER = Path(__file__).parent / "kept"
PLACED = {"Td", "Tf", "Tz", "cm", "re", "m", "l", "c", "w", "d"}
INKS = {"rg", "RG", "g", "G", "f", "S", "B", "Do"}
"""Operators of ISO 32000-1: where something stands and how large it is set, and how it is painted. What is
written is left out, and so is where each letter of a line stands that is read from the right (Tm)."""

READ = Numbers(
    "Readings",
    ("bench", Message("mass, g"), "warming, K", "remark"),
    tuple((str(row), f"{340 + row}.5", f"{row / 10}", "shaken " * (row % 4)) for row in range(1, 40)),
)
FACTS = Numbers("Facts", ("what", "value"), (("metal", "lead"), ("tube", "1.00 m")), facts=True)
SHARES = Numbers("Shares", ("part", "share"), (("shot", "78 %"), ("tube", "19 %"), ("left", "3 %")))
LONG = "words enough to need more than a single line of a page from its one side to the other, and some more"
HEADINGS = {1: LONG[:59], 2: LONG[:25]}
WIDE = Numbers("Remarks", ("bench", "remark"), (("1", LONG), ("2", "shaken")))
UNBROKEN = Numbers("Typed", ("value", "typed"), (("1.25", "x" * 300), ("1", "shaken")))
REPORT = Report(
    "Year 9, set 2",
    "6 March 2031",
    ("lead", "eight benches"),
    (
        Section(
            "Result",
            (
                Headline("209.4", "J/(kg·K)", Message("95 %% interval"), "202.7 to 216.2"),
                Paragraph(f"Strong {LONG}.", strong=True),
                Paragraph(f"Plain {LONG}: {LONG}."),
                Figure("spread", Message("It agrees."), (Message("Said"),), (SHARES,), ("What is drawn.",)),
            ),
        ),
        Section("Numbers", (Abreast((FACTS, SHARES), captioned=True), Abreast((SHARES, FACTS)), READ)),
        Section(
            "Words", (WIDE, Abreast((WIDE, SHARES)), Figure("fit", "So.", (), (SHARES, FACTS)), UNBROKEN)
        ),
    ),
)


def _report(paper: str, *, right_to_left: bool = False) -> bytes:
    return report_pdf(
        REPORT,
        say=str,
        picture=lambda _name: a_png(),
        language="en",
        right_to_left=right_to_left,
        now=NOW,
        paper=paper,
    )


def _cards(paper: Paper, per_page: int) -> bytes:
    plans = (
        PLAN,
        replace(PLAN, number=8, start_temperature_C=Decimal("18.5"), second_inversions=30, shot_mass_kg=None),
    )
    made = [bench_card(one, heading="10B", held_on="6 March", address=None, code="AXFC749") for one in plans]
    return cards_pdf(made, say=str, paper=paper, per_page=per_page)


def _with_a_code(per_page: int, *, right_to_left: bool = False) -> bytes:
    """A card with few words and the way in. Class, network and care are a little longer than their places."""
    care = ("Take care.", "Mind it.", "Hold the caps, and turn it where nobody is near to you or it.")
    made = replace(a_card(f"The first {LONG}.", "The second."), safety=tuple(map(Message, care)))
    return cards_pdf(
        [replace(made, heading=HEADINGS[per_page], wifi_name="physics-laboratory-three")],
        say=str,
        per_page=per_page,
        right_to_left=right_to_left,
    )


def described(made: Callable[[], bytes]) -> list[str]:
    """A line for each operator that places or paints something, page after page, in tenths of a point.

    The squares of a printed code are one line: how many, of what width, and the corners of them all.
    """
    reader = PdfReader(io.BytesIO(made()))
    lines = []
    for page in reader.pages:
        lines.append("page\t\t")
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            name = operator.decode("ascii")
            flat = [one for each in operands for one in (each if isinstance(each, ArrayObject) else [each])]
            numbers = [float(one) for one in flat if isinstance(one, FloatObject | NumberObject)]
            if name in PLACED:
                lines.append(f"{name}\t{' '.join(f'{one:.1f}' for one in numbers)}\t")
            elif name in INKS:
                lines.append(f"{name}\t\t{' '.join(f'{one:.3f}' for one in numbers)}")
    return [one for square, run in groupby(_by_operator(lines), _square) for one in _told(square, list(run))]


def _by_operator(lines: list[str]) -> Iterator[tuple[str, ...]]:
    """A rectangle together with how it is painted; each other line by itself."""
    rest = iter(lines)
    for line in rest:
        yield (line, next(rest)) if line.startswith("re\t") else (line,)


def _square(drawn: tuple[str, ...]) -> str:
    """The width of a filled square; nothing of what is none."""
    numbers = drawn[0].split("\t")[1].split()
    filled = len(drawn) == 2 and drawn[1].startswith("f\t") and float(numbers[2]) == -float(numbers[3])
    return numbers[2] if filled else ""


def _told(square: str, run: list[tuple[str, ...]]) -> list[str]:
    if not square:
        return [line for drawn in run for line in drawn]
    corners = [one[0].split("\t")[1].split() for one in run]
    x, y = [float(corner[0]) for corner in corners], [float(corner[1]) for corner in corners]
    return [f"squares\t{len(run)} {square} {min(x)} {min(y)} {max(x)} {max(y)}\t"]


LABELS = [
    KitLabel(Message("tube"), "T1", (Message("1.00 m"), Message("caps take 2 cm")), "http://a.example"),
    KitLabel(Message("thermometer"), "M" * 40, (Message("0.1 K"),), None),
    KitLabel(Message("balance"), "M" * 12, (Message("0.1 g"),), None),
]
PAPERS: dict[str, Callable[[], bytes]] = {
    "card-a4": lambda: _cards("A4", 1),
    "cards-letter": lambda: _cards("Letter", 2),
    "card-with-a-code": lambda: _with_a_code(2),
    "card-from-the-right": lambda: _with_a_code(1, right_to_left=True),
    "labels": lambda: labels_pdf(LABELS, say=str, first=3),
    "labels-from-the-right": lambda: labels_pdf(LABELS, say=str, first=3, right_to_left=True),
    "report-a4": lambda: _report("A4"),
    "report-letter-from-the-right": lambda: _report("Letter", right_to_left=True),
}
DRAWINGS: Drawings = {name: partial(described, made) for name, made in PAPERS.items()}


if __name__ == "__main__":
    keep(FOLDER, DRAWINGS)
