"""Where figures are drawn: one at a time, and each one once.

matplotlib is not safe in several threads at once, so one lock guards all drawing. A class of pages asking
for the same figure waits for its one drawing; it is kept for as long as it may be asked for again.
"""

from __future__ import annotations

import sys
import threading
from collections import OrderedDict
from concurrent.futures import Future
from dataclasses import dataclass
from importlib import import_module

from app.analysis.results import ClassResult
from app.figures.lighter import lighter
from app.figures.look import EVERY_SIZE
from app.figures.of_department import Glance, OverYears
from app.words import Say

Shown = ClassResult | Glance | OverYears
"""What there is to draw: a class's result, or of a department what its figures take."""

_drawing = threading.Lock()


@dataclass(frozen=True)
class Drawing:
    """Which drawing: whose records and practical, which revision and figure, its size, language and room."""

    school: str
    practical_id: int
    revision: int
    figure: str
    size: str
    language: str
    room: str
    kind: str = "svg"
    right_to_left: bool = False
    complete: bool = False
    """Whether nothing is left to be revealed."""
    held: bool = False
    """Whether it is of the runs that the wall holds still, which the class may have more of by now."""
    shows: str = ""
    """What else tells it from others of this figure: a scale, a page, what it was made of."""


class Studio:
    """Makes drawings and keeps them; the least recently asked for go first."""

    def __init__(self, keep: int = 256) -> None:
        self._keep = keep
        self._shelf: OrderedDict[Drawing, Future[bytes]] = OrderedDict()
        self._guard = threading.Lock()

    def ready(self, wanted: Drawing) -> bytes | None:
        """The drawing if it is done; never waits."""
        with self._guard:
            future = self._shelf.get(wanted)
        return (
            future.result() if future is not None and future.done() and future.exception() is None else None
        )

    def draw(self, wanted: Drawing, result: Shown, say: Say) -> bytes:
        """The drawing: made now, or waited for while another thread makes it. A failed one is not kept."""
        with self._guard:
            future = self._shelf.get(wanted)
            mine = future is None
            if future is None:
                future = self._shelf[wanted] = Future()
            self._shelf.move_to_end(wanted)
            while len(self._shelf) > self._keep:
                self._shelf.popitem(last=False)
        if mine:
            try:
                future.set_result(_drawn(wanted, result, say))
            except BaseException as error:
                with self._guard:
                    self._shelf.pop(wanted, None)
                future.set_exception(error)
        return future.result()


def warm() -> None:
    """Bring the drawing library in beforehand, beside other work, so that the first figure is quick."""
    if "matplotlib" in sys.modules:
        return
    threading.Thread(target=_load, name="figures", daemon=True).start()


def _load() -> None:
    with _drawing:
        import_module("app.figures.gallery")


def _drawn(wanted: Drawing, result: Shown, say: Say) -> bytes:
    # matplotlib takes most of a second to load, so it comes with the first drawing, not with the first page.
    with _drawing:
        from app.figures import gallery  # noqa: PLC0415

        figure = gallery.build(
            wanted.figure,
            result,
            say,
            size=wanted.size,
            room=wanted.room,
            right_to_left=wanted.right_to_left,
            complete=wanted.complete,
        )
        if wanted.kind == "png":
            return gallery.write_png(figure, dots_per_inch=240)
        drawing = gallery.write_svg(figure)
        return lighter(drawing) if EVERY_SIZE[wanted.size].beads else drawing
