"""What is to be seen of the made-up class at a moment: the wall, a phone's question, a part of the desk."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from functools import lru_cache

from app.physics.asking.question import Question
from app.physics.materials import MATERIALS
from app.practicals.made_up.first.playing import FEWEST, LAST, MOST, Playing
from app.practicals.made_up.first.script import ODD_BENCH, ODD_RUN, SCRIPT, Shows
from app.web.board.picture import FIGURE_OF_STEP, Picture, picture_of
from app.web.desk.lesson.view import LessonView, RunRow, lesson_view
from app.web.desk.runs.strip import Strip, strip_of

WHOSE = "made-up class of %d benches, %s"
"""Stands for the records' name where drawings and pictures are kept: the class is everybody's."""


@dataclass(frozen=True)
class Stage:
    """One moment's picture; what it does not show is None."""

    benches: int
    material: str
    picture: Picture
    view: LessonView
    question: Question | None = None
    row: RunRow | None = None
    strip: Strip | None = None


def stage_of(playing: Playing) -> Stage:
    """What the page shows, from one snapshot of the made-up class."""
    from app.practicals.made_up.first import a_class  # noqa: PLC0415 - the simulator brings numpy with it

    benches, material = playing.answers.played_benches, playing.answers.material
    snapshot = a_class.class_at(benches, material, playing.place)
    view = lesson_view(snapshot, a_class.BEGINS)
    picture = picture_of(snapshot, WHOSE % (benches, material))
    shows = playing.moment.shows
    if shows is Shows.QUESTION:
        asked = a_class.question_on_phone(benches, material)
        return Stage(benches, material, picture, view, question=asked)
    if shows is Shows.CASE:
        row = next(row for row in view.rows if (row.run.bench_number, row.run.number) == (ODD_BENCH, ODD_RUN))
        value = view.result.class_value if view.result else None
        return Stage(benches, material, picture, view, row=row, strip=strip_of(view.rows, row, value))
    return Stage(benches, material, picture, view)


def work_out_next(playing: Playing) -> None:
    """Work out beforehand, beside other work, what the next moment shows: it comes without a wait then."""
    if playing.place < LAST:
        _worked_out_beside(playing.answers.played_benches, playing.answers.material, playing.place + 1)


@lru_cache(maxsize=64)  # a page asks every second, and once is enough
def _worked_out_beside(*whose: int | str) -> None:
    from app.practicals.made_up.first import a_class  # noqa: PLC0415 - the simulator brings numpy with it

    threading.Thread(target=a_class.class_at, args=whose, name="made-up class", daemon=True).start()


def figure_at(benches: int, material: str, place: int) -> str | None:
    """The name of the figure that the wall of such a class shows at this place; None where it shows none."""
    if not FEWEST <= benches <= MOST or material not in MATERIALS or not 0 <= place < len(SCRIPT):
        return None
    return FIGURE_OF_STEP.get(SCRIPT[place].board)
