"""The figures' words fit their sheet, and lie over no others, in every language we speak."""

from __future__ import annotations

from itertools import combinations

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from app.figures import gallery
from app.figures.look import SIZES
from app.web.languages import LANGUAGES, catalogue
from app.words import Message
from tests.figures.classes import a_class, a_run, set_aside, worked_out

WILD = [
    *a_class(9),
    a_run(10, warming=-0.2),
    a_run(11, inversions=500, warming=2.9),
    a_run(12, mass=0.05, warming=3.0),
    set_aside(a_run(13)),
]
CLASSES = {"twelve benches": a_class(12), "every kind of mark": WILD, "no runs": []}


@pytest.mark.parametrize(
    ("language", "size"),
    [*((one, "wall") for one in LANGUAGES), *(("de", one) for one in ("page", "phone", "wall-tall"))],
)
@pytest.mark.parametrize("name", sorted(gallery.DRAWERS))
def test_words_fit_and_lie_over_no_others(name: str, language: str, size: str) -> None:
    def say(message: Message) -> str:
        return catalogue(language).gettext(message.template) % dict(message.values)

    sheet = SIZES[size]
    for case, runs in CLASSES.items():
        figure = gallery.build(name, worked_out(runs), say, size=size)
        figure.draw_without_rendering()
        boxes = list(_boxes(figure))
        for words, box in boxes:
            inside = (
                box.x0 >= -1 and box.y0 >= -1 and box.x1 <= sheet.width + 1 and box.y1 <= sheet.height + 1
            )
            assert inside, f"{case}: “{words}” runs off the sheet"
        for (one, first), (other, second) in combinations(boxes, 2):
            across = min(first.x1, second.x1) - max(first.x0, second.x0)
            along = min(first.y1, second.y1) - max(first.y0, second.y0)
            assert across < 2 or along < 2, f"{case}: “{one}” lies over “{other}”"


@pytest.mark.parametrize("language", sorted(LANGUAGES))
@pytest.mark.parametrize("name", ["spread", "line", "separated"])
def test_runs_off_the_scale_leave_the_scale_its_room_on_a_wall_of_4_to_3(name: str, language: str) -> None:
    def say(message: Message) -> str:
        return catalogue(language).gettext(message.template) % dict(message.values)

    one_mass = [a_run(bench, run) for bench in range(1, 5) for run in (1, 2)]
    off = [a_run(5, warming=-0.3), a_run(6, warming=40.0), a_run(7, warming=0.05)]
    for runs in ([run for run in WILD if not run.set_aside], [*one_mass, *off]):
        figure = gallery.build(name, worked_out(runs), say, size="wall-tall")
        figure.draw_without_rendering()
        assert figure.axes[0].get_position().width >= 0.2
        for words, box in _boxes(figure):
            inside = box.x0 >= -1 and box.x1 <= SIZES["wall-tall"].width + 1
            assert inside, f"“{words}” runs off the sheet"


def _boxes(figure: Figure) -> list[tuple[str, Bbox]]:
    """Where the words are; bench numbers have their own places."""
    words: list[Text] = list(figure.texts)
    all_axes = [*figure.axes, *(child for own in figure.axes for child in own.child_axes)]
    for axes in all_axes:
        words += [text for text in axes.texts if isinstance(text, Text)]
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            words += [tick.label1 for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
            words += [tick.label2 for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
            words.append(axis.label)
    shown = [text for text in words if text.get_visible() and text.get_text().strip()]
    return [
        (text.get_text(), Text.get_window_extent(text))
        for text in shown
        if not str(text.get_gid() or "").startswith("number-")
    ]
