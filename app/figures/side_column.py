"""Runs without a place on the shown part of a scale: a column of marks beside it, each with its figures."""

from __future__ import annotations

from collections.abc import Callable, Sequence

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


class SideColumn:
    """A ruled-off column. `words` are a run's figures, and an arrow to where it lies.

    `width` is what it needs, in points: 0 where it is empty, or the sheet too small for any.
    """

    def __init__(
        self, sheet: Sheet, runs: Sequence[RunResult], title: Message, words: Callable[[RunResult], str]
    ) -> None:
        self.sheet, self.runs, self.title, self.words = sheet, runs, title, words
        self.width = 0.0
        if runs and not sheet.size.beads:
            mark, small = sheet.size.mark, sheet.size.small
            titles = max(sheet.width_of(one, small) for one in (OFF_SCALE, NO_VALUE))
            lines = [plain(line) for run in runs for line in words(run).splitlines()]
            self.width = max(
                1.9 * mark + max(sheet.width_of(line, small) for line in lines), titles + mark / 2
            )

    def draw(self, axes: Axes, left: float, *, rule_right: bool = False) -> None:
        """Draw it beside the axes, from `left` on (points); its rule stands towards them."""
        if not self.width:
            return
        sheet, size, area = self.sheet, self.sheet.size, self.sheet.area(axes)
        edge, middle = left + self.width if rule_right else left, left + self.width / 2
        sheet.rule((edge, edge), (area.bottom, area.top), linestyle=(0, (4, 3)))
        soft = {"fontsize": size.small, "color": sheet.room.soft, "ha": "center"}
        sheet.write(middle, area.top - 0.6 * size.small, self.title, **soft)
        high = area.top - area.bottom - 1.2 * size.mark
        most = max(1, int(high / (1.15 * size.mark)))
        listed = self.runs if len(self.runs) <= most else self.runs[: most - 1]
        lines = max((len(self.words(run).splitlines()) for run in listed), default=1)
        step = min(max(1.6, 1.3 * lines) * size.mark, high / max(1, len(listed)))
        first = area.top - 1.3 * size.small - max(0.75 * size.mark, 0.6 * size.small * lines)
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


def value_words(sheet: Sheet, arrow: str = "") -> Callable[[RunResult], str]:
    """A run's apparent specific heat capacity, or its warming where it has none."""

    def words(run: RunResult) -> str:
        value = run.apparent_heat_capacity_J_per_kg_K
        if value is None:
            return sheet.say(plain(short(run.warming_K))) + " K"
        return f"{sheet.say(plain(signed(round_significant(value))))} {arrow}".strip()

    return words
