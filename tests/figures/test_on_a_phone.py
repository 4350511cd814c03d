"""A figure on a phone: light, with every run as a bead, and the bench's own mark where its runs lie."""

from __future__ import annotations

import gzip
import re

import pytest
from flask import Flask
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from app import create_app
from app.figures import gallery
from app.figures.lighter import lighter
from app.figures.look import PHONE_ROOMS, SIZES
from app.figures.own_mark import with_own_mark
from app.settings import Settings
from app.web.languages import say
from tests.figures.artists import centre, drawn
from tests.figures.classes import a_class, a_run, set_aside, worked_out
from tests.figures.test_nothing_overlaps import CLASSES

HEAVIEST_BYTES = 11_000
"""The picture on the phone is 12 kB with its words; these leave room for those."""


@pytest.fixture(scope="module")
def application(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    return create_app(Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path_factory.mktemp("data"))}))


@pytest.mark.parametrize("language", ["en", "de", "ar"])
def test_every_figure_of_every_class_is_light_and_within_its_sheet(application: Flask, language: str) -> None:
    with application.test_request_context("/", headers={"Accept-Language": language}):
        for case in ("12 benches", "32 benches, odd runs"):
            result = worked_out(CLASSES[case])
            for name in gallery.DRAWERS:
                figure = gallery.build(name, result, say, size="phone", right_to_left=language == "ar")
                figure.draw_without_rendering()
                for text in (one for one in figure.findobj(Text) if isinstance(one, Text) and one.get_text()):
                    box = text.get_window_extent()
                    inside = box.x0 > -1 and box.x1 < SIZES["phone"].width + 1 and box.y0 > -1
                    assert inside or not text.get_visible() or _is_no_tick(figure, text), (
                        f"{case}, {name}: {text.get_text()} {box}"
                    )
                light = with_own_mark(lighter(gallery.write_svg(figure)), "4", result, "phone", "phone")
                assert len(gzip.compress(light)) <= HEAVIEST_BYTES, (case, name)


def _is_no_tick(figure: Figure, text: Text) -> bool:
    """A tick beyond the axes, which is not drawn."""
    every = [*figure.axes, *(child for axes in figure.axes for child in axes.child_axes)]
    return any(text in axis.get_ticklabels() for axes in every for axis in (axes.xaxis, axes.yaxis))


@pytest.mark.parametrize("name", ["spread", "line", "separated"])
def test_the_own_mark_stands_on_the_middle_one_of_the_benchs_own_beads(name: str) -> None:
    runs = [*a_class(12, 3), a_run(13, 1, warming=2.2), a_run(13, 2, warming=2.4), a_run(13, 3, warming=2.6)]
    result = worked_out([*runs[:-1], set_aside(runs[-1])])
    figure = gallery.build(name, result, str, size="phone", room="phone")
    figure.draw_without_rendering()
    beads = drawn(figure, "dot-")
    assert len(beads) == len(runs)
    assert not drawn(figure, "number-")
    own = sorted(
        (x, SIZES["phone"].height - y)
        for x, y in (centre(one) for key, one in beads.items() if key[:3] == "13-")
    )
    marked = with_own_mark(lighter(gallery.write_svg(figure)), "13", result, "phone", "phone").decode()
    group = marked[marked.index('<g id="own-bench">') :]
    circles = [(float(x), float(y)) for x, y in re.findall(r'<circle cx="([^"]+)" cy="([^"]+)"', group)]
    for place, circle in zip(own, sorted(circles[:3]), strict=True):
        assert circle == pytest.approx(place, abs=0.06)
    number = re.search(r'<text x="([^"]+)" y="([^"]+)"[^>]*>13</text>', group)
    assert number
    assert (float(number[1]), float(number[2])) == pytest.approx(own[1], abs=0.06)
    hollow = f'fill="{PHONE_ROOMS["phone"].paper}" stroke="{PHONE_ROOMS["phone"].ink}"'
    assert group.count(hollow) == 1, "the run that was set aside"


def test_a_drawing_without_the_bench_stays_as_it_is() -> None:
    result = worked_out(a_class(4))
    drawing = gallery.write_svg(gallery.build("line", result, str, size="phone", room="phone"))
    assert with_own_mark(drawing, "9", result, "phone", "phone") == drawing


def test_a_lighter_drawing_has_every_part_in_the_same_place() -> None:
    drawing = gallery.write_svg(gallery.build("separated", worked_out(a_class(12)), str, size="phone"))
    light = lighter(drawing).decode()
    assert len(light) < 0.8 * len(drawing)
    for pattern in (r'<g id="([^"]+)"', r"translate\([^)]+\) scale\([^)]+\)"):
        assert re.findall(pattern, light) == re.findall(pattern, drawing.decode())
    uses = r'<use [^>]*x="([^"]+)" y="([^"]+)"'
    for thin, full in zip(re.findall(uses, light), re.findall(uses, drawing.decode()), strict=True):
        assert list(map(float, thin)) == pytest.approx(list(map(float, full)), abs=0.051)


def test_a_long_name_of_a_bench_is_set_smaller_so_that_it_fits_its_mark() -> None:
    result, size = worked_out([*a_class(6), a_run("125")]), SIZES["phone"]
    drawing = gallery.write_svg(gallery.build("line", result, str, size="phone", room="phone"))
    marked = with_own_mark(drawing, "125", result, "phone", "phone").decode()
    (letters,) = map(float, re.findall(r'font-size="([\d.]+)" fill="[^"]*">125<', marked))
    assert size.mark / 2 < 3 * 0.6 * letters < size.mark, "a digit is 0.6 of its size wide (from memory)"


def test_a_flagged_benchs_own_mark_is_ringed_as_the_wall_rings_it() -> None:
    result = worked_out([*a_class(6), a_run(7, warming=1.0)])
    ring = drawn(gallery.build("spread", result, str, size="wall"), "ring-")["7-1"]
    assert isinstance(ring, Line2D)
    wall, phone = SIZES["wall"], SIZES["phone"]
    drawing = gallery.write_svg(gallery.build("spread", result, str, size="phone", room="phone"))
    marked = with_own_mark(drawing, "7", result, "phone", "phone").decode()
    circles = re.findall(r'r="([\d.]+)" fill="([^"]+)" stroke="([^"]+)" stroke-width="([\d.]+)"', marked)
    _bead, (radius, fill, edge, width), (inner, *_) = circles
    assert (fill, edge) == (PHONE_ROOMS["phone"].paper, PHONE_ROOMS["phone"].flag)
    assert float(inner) == pytest.approx(phone.mark / 2)
    away = (ring.get_markersize() - wall.mark) / 2
    assert (float(radius) - phone.mark / 2) / phone.line == pytest.approx(away / wall.line)
    assert float(width) / phone.line == pytest.approx(ring.get_markeredgewidth() / wall.line)
