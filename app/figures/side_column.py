"""Runs without a place on the shown part of a scale: a column of marks beside it, each with its figures."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from matplotlib.axes import Axes

from app.analysis.results import RunResult
from app.figures.marks import draw_mark, mark_of
from app.figures.numbers import plain, signed
from app.figures.sheet import Sheet
from app.physics.rounding import round_significant, short
from app.words import N_, Message

OFF_SCALE = Message(N_("off the scale"))
NO_VALUE = Message(N_("no value"))
MORE = Message(N_("and %(more)s more"))


LEAST_SCALE = 0.25
"""Of the sheet's width: with less, nobody tells runs apart (our own choice)."""
_NO_ARROW = re.compile("[^←→↑↓]")


class SideColumn:
    """A ruled-off column. `words` are a run's figures, and an arrow to where it lies.

    `width` is what it needs, in points: 0 where it is empty, or the sheet too small for any.
    """

    def __init__(
        self, sheet: Sheet, runs: Sequence[RunResult], title: Message, words: Callable[[RunResult], str]
    ) -> None:
        self.sheet, self.runs, self.words = sheet, runs, words
        self.title: Message | None = title
        self.width = self._needed()

    def _needed(self) -> float:
        sheet, mark, small = self.sheet, self.sheet.size.mark, self.sheet.size.small
        if not self.runs or sheet.size.beads:
            return 0.0
        lines = [plain(line) for run in self.runs for line in self.words(run).splitlines()]
        marked = 1.9 * mark + max(sheet.width_of(line, small) for line in lines)
        if self.title is None:
            return marked
        return max(marked, max(sheet.width_of(one, small) for one in (OFF_SCALE, NO_VALUE)) + mark / 2)

    def narrow(self) -> None:
        """Leave out title and figures, which the table has: a mark keeps its arrow, or has a dash."""
        words = self.words
        self.title, self.words = None, lambda run: _NO_ARROW.sub("", words(run)) or "–"
        self.width = self._needed()

    def draw(self, axes: Axes, left: float, *, rule_right: bool = False) -> None:
        """Draw it beside the axes, from `left` on (points); its rule stands towards them."""
        if not self.width:
            return
        sheet, size, area = self.sheet, self.sheet.size, self.sheet.area(axes)
        edge, middle = left + self.width if rule_right else left, left + self.width / 2
        sheet.rule((edge, edge), (area.bottom, area.top), linestyle=(0, (4, 3)))
        soft: dict[str, Any] = {"fontsize": size.small, "color": sheet.room.soft, "ha": "center"}
        if self.title is not None:
            sheet.write(middle, area.top - 0.6 * size.small, self.title, **soft)
        lines = max(len(self.words(run).splitlines()) for run in self.runs)
        half = max(0.75 * size.mark, 0.6 * size.small * lines)  # of a row, with its ring and all its lines
        first = area.top - 1.3 * size.small - half
        high = first - half - area.bottom
        rows = min(len(self.runs), max(1, 1 + int(high / (2 * half))))
        listed = self.runs if len(self.runs) == rows else self.runs[: rows - 1]
        step = min(max(1.6, 1.3 * lines) * size.mark, high / max(1, rows - 1))
        for row, run in enumerate(listed):
            y = first - row * step
            draw_mark(sheet, None, mark_of(run, left + 0.9 * size.mark, y))
            sheet.write(
                left + 1.75 * size.mark,
                y,
                plain(self.words(run)),
                fontsize=size.small,
                gid=f"edge-{run.readings.bench}-{run.readings.run}",
                linespacing=1.05,
            )
        if len(listed) < len(self.runs):
            more = Message(MORE.template, {"more": str(len(self.runs) - len(listed))})
            sheet.write(middle, first - len(listed) * step, more, **soft)


def leave_room(free: float, *columns: SideColumn) -> None:
    """Narrow the columns where they leave the scale too little of `free`, the width for all, in points."""
    if free - sum(column.width for column in columns) < LEAST_SCALE * columns[0].sheet.size.width:
        for column in columns:
            column.narrow()


def value_words(sheet: Sheet, arrow: str = "") -> Callable[[RunResult], str]:
    """A run's apparent specific heat capacity, or its warming where it has none."""

    def words(run: RunResult) -> str:
        value = run.apparent_heat_capacity_J_per_kg_K
        if value is None:
            return sheet.say(plain(short(run.warming_K))) + " K"
        return f"{sheet.say(plain(signed(round_significant(value))))} {arrow}".strip()

    return words
