"""The figure itself is asked: no marks, words or leads lie over one another, and nothing covers a tick."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from math import hypot

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from app.analysis.readings import RunReadings
from app.figures import gallery
from app.words import Message
from tests.figures.artists import centre, drawn
from tests.figures.classes import a_class, a_run, worked_out

Circle = tuple[float, float, float]


def with_odd_runs(benches: int, masses: tuple[float, ...]) -> list[RunReadings]:
    """Each with three runs, one of them off the scale and one without a value."""
    return [
        *a_class(benches, 3, masses=masses)[:-2],
        a_run(benches, 8, mass=masses[0], inversions=500, warming=2.9),
        a_run(benches, 9, mass=masses[0], warming=-0.3),
    ]


ALIKE, TWO, THREE = (0.5,), (0.24, 0.86), (0.25, 0.5, 1.0)
CLASSES = {
    "1 bench": a_class(1, 3, masses=ALIKE),
    "4 benches, odd runs": with_odd_runs(4, TWO),
    "12 benches": a_class(12, 3, masses=THREE),
    "12 benches alike, odd runs": with_odd_runs(12, ALIKE),
    "24 benches, odd runs": with_odd_runs(24, TWO),
    "32 benches alike": a_class(32, 3, masses=ALIKE),
    "32 benches, odd runs": with_odd_runs(32, THREE),
}

TIGHTEST = ("4 benches, odd runs", "12 benches alike, odd runs", "32 benches alike", "32 benches, odd runs")
"""Drawn in every size; the wall shows the others as well."""


def say(message: Message) -> str:
    return message.template % dict(message.values)


@pytest.mark.parametrize("size", ["wall", "wall-low", "wall-asked", "wall-tall", "phone"])
@pytest.mark.parametrize("name", sorted(gallery.DRAWERS))
def test_nothing_lies_over_anything_else(name: str, size: str) -> None:
    for case in CLASSES if size == "wall" else TIGHTEST:
        figure = gallery.build(name, worked_out(CLASSES[case]), say, size=size)
        figure.draw_without_rendering()
        marks, words, ticks = _marks(figure), _words(figure), _tick_words(figure)
        for (one, first), (other, second) in combinations(marks.items(), 2):
            assert _apart(first, second) > -1.0, f"{case}: mark {one} lies over mark {other}"
        for (one, box), (other, beside) in combinations([*words, *ticks], 2):
            assert _shared(box, beside) < 2, f"{case}: “{one}” lies over “{other}”"
        for mark, circle in marks.items():
            for one, box in [*words, *ticks]:
                assert _reach(circle, box) > -1.0, f"{case}: mark {mark} lies over “{one}”"
        leads = _leads(figure)
        for bench, (start, end, y) in leads.items():
            for mark, circle in marks.items():
                nearest = min(max(circle[0], start), end)
                away = hypot(nearest - circle[0], y - circle[1]) - circle[2]
                assert mark == bench or away > -3.0, f"{case}: the lead of {bench} lies over mark {mark}"
            for one, box in words:
                crosses = box.y0 < y < box.y1 and start < box.x1 and end > box.x0
                assert not crosses, f"{case}: the lead of {bench} lies over “{one}”"
        for (one, lead), (other, beside_it) in combinations(leads.items(), 2):
            on_one = abs(lead[2] - beside_it[2]) < 0.9 and lead[0] < beside_it[1] and beside_it[0] < lead[1]
            assert not on_one, f"{case}: the leads of {one} and {other} lie over each other"


@pytest.mark.parametrize("size", ["wall", "wall-asked", "page"])
@pytest.mark.parametrize("name", ["spread", "line"])
@pytest.mark.parametrize("off", [6, 14])
def test_runs_off_the_scale_are_listed_as_far_as_they_have_room(name: str, size: str, off: int) -> None:
    runs = [*a_class(16, masses=ALIKE), *(a_run(bench, warming=40.0) for bench in range(17, 17 + off))]
    figure = gallery.build(name, worked_out(runs), say, size=size)
    figure.draw_without_rendering()
    listed = {name: artist for name, artist in drawn(figure, "edge-").items() if isinstance(artist, Text)}
    marks = {name: mark for name, mark in _marks(figure).items() if name in listed}
    left_out = re.findall(r"and (\d+) more", "\n".join(text.get_text() for text in figure.texts))
    assert len(listed) == len(marks) == off - sum(map(int, left_out))
    assert "17-1" in listed, "the first one at least"
    for (one, first), (other, second) in combinations(marks.items(), 2):
        assert _apart(first, second) > 0, f"mark {one} lies over mark {other}"
    beside = [text for text in figure.texts if text in listed.values() or "and " in text.get_text()]
    boxes = [text.get_window_extent() for text in beside]
    foot = figure.axes[0].get_window_extent().y0
    for above, below in pairwise(boxes):
        assert above.y0 > below.y1, "from the first one down"
        assert below.y0 > foot - 1, "beside the axes"


def test_the_check_notices_marks_words_and_leads_that_lie_over_others() -> None:
    assert _apart((0, 0, 5), (9, 0, 5)) == -1
    assert _reach((0, 0, 5), Bbox([(4, -1), (9, 1)])) == -1
    assert _shared(Bbox([(0, 0), (10, 10)]), Bbox([(7, 5), (20, 20)])) == 3
    figure = gallery.build("separated", worked_out(a_class(12)), say)
    figure.draw_without_rendering()
    assert len([mark for mark in _marks(figure) if not mark.startswith("key-")]) == len(_leads(figure)) == 12
    assert len(_tick_words(figure)) > 6


def _marks(figure: Figure) -> dict[str, Circle]:
    """Centre and radius of each mark; where it has a ring, the ring's."""
    rings = drawn(figure, "ring-")
    found = {}
    for name, mark in drawn(figure, "mark-").items():
        seen = rings.get(name, mark)
        assert isinstance(seen, Line2D)
        found[name] = (*centre(mark), (seen.get_markersize() + seen.get_markeredgewidth()) / 2)
    return found


def _words(figure: Figure) -> list[tuple[str, Bbox]]:
    """All but the ticks' and the numbers in marks."""
    texts = [text for text in figure.findobj(Text) if isinstance(text, Text) and text.get_text()]
    ticks = {id(text) for text, _ in _ticks(figure)}
    return [
        (text.get_text(), text.get_window_extent())
        for text in texts
        if id(text) not in ticks
        and text.get_visible()
        and not str(text.get_gid() or "").startswith("number-")
        and not any(text in axis.get_ticklabels() for axis in _all_axes(figure))
    ]


def _tick_words(figure: Figure) -> list[tuple[str, Bbox]]:
    return [(text.get_text(), text.get_window_extent()) for text, _ in _ticks(figure)]


def _all_axes(figure: Figure) -> list:
    every = [*figure.axes, *(child for own in figure.axes for child in own.child_axes)]
    return [axis for axes in every for axis in (axes.xaxis, axes.yaxis)]


def _ticks(figure: Figure) -> list[tuple[Text, float]]:
    found = []
    for axis in _all_axes(figure):
        low, high = sorted(axis.get_view_interval())
        for tick in axis.get_major_ticks():
            if low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                shown = tick.label2 if tick.label2.get_visible() else tick.label1
                if shown.get_text():
                    found.append((shown, float(tick.get_loc())))
    return found


def _leads(figure: Figure) -> dict[str, tuple[float, float, float]]:
    """From where to where, and at which height."""
    found = {}
    for name, lead in drawn(figure, "lead-").items():
        assert isinstance(lead, Line2D)
        (x0, x1), (y, _) = np.asarray(lead.get_data())
        found[name] = (min(float(x0), float(x1)), max(float(x0), float(x1)), float(y))
    return found


def _apart(one: Circle, other: Circle) -> float:
    """The gap between two circles; below zero where they overlap."""
    return hypot(one[0] - other[0], one[1] - other[1]) - one[2] - other[2]


def _reach(circle: Circle, box: Bbox) -> float:
    """The gap between a circle and a box."""
    x, y, radius = circle
    return hypot(x - min(max(x, box.x0), box.x1), y - min(max(y, box.y0), box.y1)) - radius


def _shared(one: Bbox, other: Bbox) -> float:
    """How far two boxes lie over each other, in the direction in which it is less."""
    across = min(one.x1, other.x1) - max(one.x0, other.x0)
    along = min(one.y1, other.y1) - max(one.y0, other.y0)
    return float(min(across, along))
