"""One figure while it is drawn: its axes placed in points, and its words in the reader's language."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any, NamedTuple

# matplotlib takes most of a second to load: only the modules that draw bring it, when they are asked for.
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Annotation
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator
from matplotlib.transforms import Affine2D, offset_copy

from app.figures.look import Room, Size
from app.figures.numbers import plain
from app.physics.rounding import short
from app.words import Message, Say

if TYPE_CHECKING:
    from matplotlib.transforms import Transform


LINE = 1.25
"""Height of a line of words, in its letters' size (our own choice)."""


class Area(NamedTuple):
    """Where axes lie, in points from the lower left corner of the sheet."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Their right end."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Their upper end."""
        return self.bottom + self.height


class Sheet:
    """A drawing of a given size, in the inks of a room."""

    def __init__(
        self, size: Size, room: Room, say: Say, *, right_to_left: bool = False, complete: bool = False
    ) -> None:
        """`complete`: nothing is left to be revealed, so a figure may show what a later step finds."""
        self.size, self.room, self.say = size, room, say
        self.right_to_left, self.complete = right_to_left, complete
        self.figure = Figure(figsize=(size.width / 72, size.height / 72), dpi=72, facecolor=room.paper)
        self._canvas: Any = FigureCanvasAgg(self.figure)  # draws nothing; it measures words

    @property
    def points(self) -> Transform:
        """Coordinates in points from the lower left corner."""
        return Affine2D().scale(1 / 72) + self.figure.dpi_scale_trans

    def axes(self, left: float, bottom: float, right: float, top: float, *, upright: bool = True) -> Axes:
        """Axes with these margins in points, drawn as two rules and no box; `upright`: with a y scale."""
        width, height = self.size.width, self.size.height
        axes = self.figure.add_axes(
            (left / width, bottom / height, (width - left - right) / width, (height - bottom - top) / height)
        )
        axes.set_facecolor("none")
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        for side in ("left", "bottom"):
            axes.spines[side].set_color(self.room.soft)
            axes.spines[side].set_linewidth(self.size.line / 2)
        axes.tick_params(
            colors=self.room.ink,
            labelsize=self.size.small,
            width=self.size.line / 2,
            length=self.size.small / 3,
        )
        if not upright:
            axes.spines["left"].set_visible(False)
            axes.set_yticks([])
        return axes

    def area(self, axes: Axes) -> Area:
        """Where the axes lie."""
        (left, bottom, wide, high), size = axes.get_position().bounds, self.size
        return Area(left * size.width, bottom * size.height, wide * size.width, high * size.height)

    def scale(self, axis: Any, label: Message, ticks: int = 6) -> None:
        """Write an axis's label, and its ticks in the reader's decimal mark.

        An upright axis has its label level above it.
        """
        area, small = self.area(axis.axes), self.size.small
        said = Message("%(words)s", {"words": self.axis_words(label)})
        if axis.axis_name == "y":
            words = self.write(small / 3, area.top + 0.7 * self.size.text, said, va="bottom")
        else:
            middle, below = area.left + area.width / 2, area.bottom - 1.85 * small
            words = self.write(middle, below, said, va="top", ha="center")
            ticks = max(1, min(ticks, int(area.width / (3 * small))))
        words.set_gid(f"{axis.axis_name}-axis-words")
        self.fit(words, self.size.width - small)
        self.keep_inside(words, small / 3)
        locator: Any = MaxNLocator(nbins=ticks, steps=[1, 2, 2.5, 5, 10])
        if ticks == 1:  # no room for two
            low, high = axis.get_view_interval()
            within = [value for value in locator.tick_values(low, high) if low <= value <= high]
            locator = FixedLocator(within[len(within) // 2 :][:1])
        axis.set_major_locator(locator)
        axis.set_major_formatter(FuncFormatter(lambda value, _: self.figure_text(value)))

    def axis_words(self, label: Message) -> str:
        """An axis's label; on two lines where one is too long for it even in small letters."""
        return self.wrapped(label, self.size.small, self.size.width - self.size.small)

    def more_lines(self, label: Message) -> float:
        """The room that an axis's label needs beyond its first line, in points."""
        return LINE * self.size.text * self.axis_words(label).count("\n")

    def figure_text(self, value: float) -> str:
        """A tick's number."""
        return self.say(plain(short(value, 10)))

    def write(self, x: float, y: float, message: Message, *, width: float | None = None, **style: Any) -> Any:
        """Words at a point, in points; wrapped to a width in points where one is given."""
        options: dict[str, Any] = {
            "fontsize": self.size.text,
            "color": self.room.ink,
            "va": "center",
            **style,
        }
        words = self.say(message)
        if width is not None:
            words = textwrap.fill(words, max(8, int(width / (0.56 * options["fontsize"]))))
        return self.figure.text(x, y, words, transform=self.points, **options)

    def annotate(
        self, axes: Axes, words: str, at: tuple[float, float], offset: tuple[float, float], **style: Any
    ) -> Annotation:
        """Words beside a place in the axes' units, `offset` points away from it."""
        return axes.annotate(
            words,
            at,
            xytext=offset,
            textcoords="offset points",
            annotation_clip=False,
            **{"fontsize": self.size.text, **style},
        )

    def dot(
        self, axes: Axes | None, at: tuple[float, float], shift: tuple[float, float] = (0, 0), **style: Any
    ) -> None:
        """One of matplotlib's markers at a place in the axes' units, or in points; `shift` is in points."""
        place = offset_copy(axes.transData if axes else self.points, self.figure, *shift, units="points")
        options: dict[str, Any] = {"marker": "o", "clip_on": False, **style}
        (axes or self.figure).add_artist(Line2D([at[0]], [at[1]], transform=place, **options))

    def keep_inside(self, text: Any, margin: float = 10) -> None:
        """Move words sideways, if they would run off the sheet."""
        box = text.get_window_extent(self._canvas.get_renderer())
        move = max(0.0, margin - box.x0) - max(0.0, box.x1 - (self.size.width - margin))
        if move and isinstance(text, Annotation):
            text.xyann = (text.xyann[0] + move, text.xyann[1])  # annotations here are placed in points
        elif move:
            x, y = text.get_transform().transform(text.get_position())
            text.set_transform(self.points)
            text.set_position((x + move, y))

    def fit(self, text: Any, width: float) -> None:
        """Make words smaller, if they are wider than this, but never smaller than the ticks' numbers."""
        wide = text.get_window_extent(self._canvas.get_renderer()).width
        if wide > width:
            text.set_fontsize(max(self.size.small, text.get_fontsize() * width / wide))

    def box_of(self, text: Any, axes: Axes) -> tuple[tuple[float, float], tuple[float, float]]:
        """Where words stand, in points from the axes' lower left corner."""
        seen, (left, bottom, *_) = text.get_window_extent(self._canvas.get_renderer()), self.area(axes)
        return (seen.x0 - left, seen.y0 - bottom), (seen.x1 - left, seen.y1 - bottom)

    def width_of(self, message: Message, fontsize: float, weight: str = "normal") -> float:
        """How wide words would be, in points."""
        text = self.figure.text(0, 0, self.say(message), fontsize=fontsize, fontweight=weight)
        width = text.get_window_extent(self._canvas.get_renderer()).width
        text.remove()
        return float(width)

    def wrapped(self, message: Message, fontsize: float, width: float) -> str:
        """Words as they are, or on two lines of much the same length where they are wider than this."""
        said = self.say(message)
        if self.width_of(message, fontsize) <= width:
            return said
        lines = textwrap.wrap(said, len(said) // 2 + 6)
        return "\n".join(lines)

    def rule(self, xs: tuple[float, float], ys: tuple[float, float], **style: Any) -> None:
        """A straight rule between two places, in points."""
        options: dict[str, Any] = {"color": self.room.rule, "linewidth": self.size.line / 2, **style}
        self.figure.add_artist(Line2D(xs, ys, transform=self.points, **options))

    def only_words(self, message: Message) -> Figure:
        """A sheet that says why there is nothing to draw."""
        self.write(
            self.size.width / 2,
            self.size.height / 2,
            message,
            width=self.size.width * 0.75,
            ha="center",
            gid="why-empty",
        )
        return self.figure
