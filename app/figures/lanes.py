"""Lanes beside the axes for runs that have no place on the scale: wild ones, and those without a value."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes

from app.analysis.results import RunResult
from app.figures.key import mark_of
from app.figures.marks import draw_mark
from app.figures.numbers import plain, signed
from app.figures.sheet import Sheet
from app.physics.rounding import round_significant, short
from app.words import N_, Message

OFF_SCALE = Message(N_("off the scale"))
NO_VALUE = Message(N_("no value"))
RIGHT, LEFT = "→", "←"


def lane_width(sheet: Sheet, runs: Sequence[RunResult], words: Callable[[RunResult], str]) -> float:
    """The room a lane needs, in points; 0 where it is empty."""
    if not runs:
        return 0.0
    small = sheet.size.small
    titles = max(sheet.width_of(title, small) for title in (OFF_SCALE, NO_VALUE))
    texts = max(sheet.width_of(plain(line), small) for run in runs for line in words(run).splitlines())
    return max(1.9 * sheet.size.mark + texts, titles + sheet.size.mark / 2)


def draw_lane(
    sheet: Sheet,
    axes: Axes,
    runs: Sequence[RunResult],
    left: float,
    width: float,
    title: Message,
    words: Callable[[RunResult], str],
    rule_right: bool = False,
) -> None:
    """A ruled-off lane of marks, each with its figures in words (and an arrow to where it lies)."""
    if not runs:
        return
    size = sheet.size
    box = axes.get_position()
    bottom, top = box.y0 * size.height, box.y1 * size.height
    edge = left + width if rule_right else left
    sheet.rule((edge, edge), (bottom, top), linestyle=(0, (4, 3)))
    sheet.write(
        left + width / 2,
        top - 0.6 * size.small,
        title,
        fontsize=size.small,
        color=sheet.room.soft,
        ha="center",
    )
    step = min(1.6 * size.mark, (top - bottom - 1.5 * size.mark) / len(runs))
    for row, run in enumerate(runs):
        y = bottom + size.mark * 0.9 + row * step
        draw_mark(sheet, None, mark_of(run, left + 0.9 * size.mark, y))
        sheet.figure.text(
            left + 1.75 * size.mark,
            y,
            words(run),
            transform=sheet.points,
            fontsize=size.small,
            va="center",
            color=sheet.room.ink,
            gid=f"edge-{run.readings.bench}-{run.readings.run}",
            linespacing=1.05,
        )


def value_words(sheet: Sheet, arrow: str = "") -> Callable[[RunResult], str]:
    """A run's apparent specific heat capacity, or its warming where it has none."""

    def words(run: RunResult) -> str:
        value = run.apparent_heat_capacity_J_per_kg_K
        if value is None:
            return sheet.say(plain(short(run.warming_K))) + " K"
        return f"{sheet.say(plain(signed(round_significant(value))))} {arrow}".strip()

    return words
