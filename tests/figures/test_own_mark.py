"""A bench's own mark and a lighter drawing, letter for letter, on drawings made by hand."""

from __future__ import annotations

import pytest

from app.figures.lighter import lighter
from app.figures.look import ROOMS, SIZES
from app.figures.own_mark import with_own_mark
from tests.figures.classes import a_class, a_run, set_aside, worked_out

INKS = ROOMS["phone"]
NAMES = {"paper": INKS.paper, "ink": INKS.ink, "flag": INKS.flag}
PLACES = {"dot-7-1": "10 50", "dot-7-2": "40 20", "dot-7-3": "30 60", "dot-1-1": "1 2", "bench-bead-7": "5 6"}


def drawing(*names: str) -> str:
    """Beads of these names at their places, with something else before each."""
    beads = ""
    for name in names:
        x, y = PLACES[name].split()
        beads += f'<g id="{name}"><path d="M 0 0"/><g>\n<use xlink:href="#m1" x="{x}" y="{y}"/></g></g>'
    return f"<svg>{beads}</svg>\n"


def test_the_fixture_is_of_the_phones_size() -> None:
    size = SIZES["phone"]
    assert (size.mark, size.line, size.small) == (24.0, 1.6, 15.0), "what is written below follows from these"


@pytest.mark.parametrize(
    ("names", "marked"),
    [
        (
            ("dot-7-1", "dot-1-1", "dot-7-2", "dot-7-3"),
            '<circle cx="10" cy="50" r="8.64" fill="ink" stroke="paper" stroke-width="1.6"/>'
            '<circle cx="30" cy="60" r="8.64" fill="paper" stroke="ink" stroke-width="1.6"/>'
            '<circle cx="40" cy="20" r="8.64" fill="ink" stroke="flag" stroke-width="1.6"/>'
            '<circle cx="30" cy="60" r="15.2" fill="paper" stroke="flag" stroke-width="2.56"/>'
            '<circle cx="30" cy="60" r="12" fill="ink" stroke="paper" stroke-width="1.6"/>'
            '<text x="30" y="60" dy=".35em" text-anchor="middle" font-family="system-ui, sans-serif"'
            ' font-weight="600" font-size="15" fill="paper">7</text>',
        ),
        (
            ("dot-1-1", "dot-7-3"),
            '<circle cx="30" cy="60" r="8.64" fill="paper" stroke="ink" stroke-width="1.6"/>'
            '<circle cx="30" cy="60" r="12" fill="paper" stroke="ink" stroke-width="1.6"/>'
            '<text x="30" y="60" dy=".35em" text-anchor="middle" font-family="system-ui, sans-serif"'
            ' font-weight="600" font-size="15" fill="ink">7</text>',
        ),
        (
            ("dot-7-1", "dot-7-3"),
            '<circle cx="10" cy="50" r="8.64" fill="ink" stroke="paper" stroke-width="1.6"/>'
            '<circle cx="30" cy="60" r="8.64" fill="paper" stroke="ink" stroke-width="1.6"/>'
            '<circle cx="30" cy="60" r="12" fill="ink" stroke="paper" stroke-width="1.6"/>'
            '<text x="30" y="60" dy=".35em" text-anchor="middle" font-family="system-ui, sans-serif"'
            ' font-weight="600" font-size="15" fill="paper">7</text>',
        ),
        (
            ("dot-1-1", "bench-bead-7"),
            '<circle cx="5" cy="6" r="8.64" fill="ink" stroke="paper" stroke-width="1.6"/>'
            '<circle cx="5" cy="6" r="12" fill="ink" stroke="paper" stroke-width="1.6"/>'
            '<text x="5" y="6" dy=".35em" text-anchor="middle" font-family="system-ui, sans-serif"'
            ' font-weight="600" font-size="15" fill="paper">7</text>',
        ),
    ],
)
def test_own_beads_and_the_number_on_the_middle_one_are_drawn_last(
    names: tuple[str, ...], marked: str
) -> None:
    """Half-widths: 0.36 and 0.5 of 24 points, the ring 3.2 beyond that. Run 2 is flagged, run 3 set aside."""
    runs = [a_run(7, 1), a_run(7, 2, warming=1.0), set_aside(a_run(7, 3)), *a_class(6)]
    shown = drawing(*names)
    found = with_own_mark(shown.encode(), "7", worked_out(runs), "phone", "phone").decode()
    for name, ink in NAMES.items():
        found = found.replace(ink, name)
    assert found == shown.replace("</svg>", f'<g id="own-bench">{marked}</g></svg>')


def test_a_long_number_is_smaller_and_read_as_no_markup() -> None:
    """Two letters have the full size of 15 points; seven share the room of 2.1."""
    bead = '<svg><g id="dot-{}-1"><use x="1" y="2"/></g></svg>'
    for bench, letters, said in (
        ("12", "15", "12"),
        ("<b>", "10.5", "&lt;b&gt;"),
        ("1234567", "4.5", "1234567"),
    ):
        found = with_own_mark(
            bead.format(bench).encode(), bench, worked_out([a_run(bench)]), "phone", "phone"
        )
        assert f'font-size="{letters}" fill="{INKS.paper}">{said}</text>' in found.decode()


def test_a_lighter_drawing_is_the_same_in_fewer_words() -> None:
    """Places to a tenth, letters on a grid of 32 with each place counted from the one before it (SVG 2, 9.3):
    (64, 0), (96, 320) are (2, 0) and (3, 10); a curve by (4, −2) to (4, 0); back at (2, 0), on to (1, 1)."""
    heavy = """<?xml version="1.0"?>
<!DOCTYPE svg>
<svg viewBox="0 0 328 300">
 <metadata>
  <made>by hand</made>
 </metadata>
 <!-- 190 -->
 <path d="M 164 216.42
" style="fill: none; stroke: #1f77b4"/>
 <path id="text-41" d="M 64 0 \nL 96 320 \nQ 128 -64 128 0 \nz\nM 32 32 \nL 64 64 \nz
" transform="scale(0.015625)"/>
 <path d="M 0.04 -12.36 \nL 24.96 30" style="fill: none"/>
 <g transform="translate(48.656365 249.025) scale(0.15 -0.15)">
  <use xlink:href="#text-41" transform="translate(491.921875 0)"/>
 </g>
</svg>
"""
    assert lighter(heavy.encode()).decode() == (
        '<svg viewBox="0 0 328 300"><path id="text-41" d="m2 0l1 10q1-12 1-10zm-1 1l1 1z"'
        ' transform="scale(0.5)"/><path d="M 0 -12.4 L 25 30" style="fill: none"/>'
        '<g transform="translate(48.656365 249.025) scale(0.15 -0.15)">'
        '<use xlink:href="#text-41" transform="translate(491.9 0)"/></g></svg> '
    )
