"""Percent error: the class's interval against the accepted value."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from app.analysis.results import ClassResult, ClassValue
from app.figures.findings import NO_RUNS
from app.figures.numbers import percent, plain, signed, with_interval
from app.figures.sheet import Sheet
from app.figures.spread import AXIS
from app.figures.view import View, view_of
from app.physics.rounding import round_significant, short
from app.words import N_, Message

ERROR_AXIS = Message(N_("percent error"))
CLASS_VALUE = Message(N_("class value %(value)s: %(error)s %%"))
ACCEPTED = Message(N_("accepted %(value)s"))


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """One scale, labelled twice: specific heat capacity below, percent error above.

    The accepted value is a plumb line, the class's interval a band.
    """
    pooled = result.class_value
    if pooled is None:
        return sheet.only_words(result.class_value_absent_because or NO_RUNS)
    size, accepted = sheet.size, result.settings.accepted_J_per_kg_K
    value, interval = pooled.apparent_heat_capacity_J_per_kg_K, pooled.interval_95 or ()
    whole = not interval or interval[1] - interval[0] <= 4 * abs(value)
    view = view_of(
        [value, accepted], must_show=[accepted, value, *(interval if whole else ())], may_show=interval
    )
    span = view.high - view.low
    view = View(view.low - 0.12 * span, view.high + 0.12 * span)
    beside = max(size.mark, _half_an_error(sheet, accepted, view))
    axes = sheet.axes(left=beside, bottom=3.4 * size.text, right=beside, top=4.4 * size.text)
    axes.spines["left"].set_visible(False)
    axes.set_yticks([])
    axes.set_xlim(view.low, view.high)
    axes.set_ylim(0, 1)
    sheet.scale(axes.xaxis, AXIS)
    _percent_axis(sheet, axes, accepted, view)
    _class_interval(sheet, axes, pooled, view)
    axes.plot(
        [accepted, accepted],
        [0, 1.0],
        color=sheet.room.accepted,
        linewidth=2 * size.line,
        zorder=4,
        gid="accepted-line",
    )
    _label(
        sheet,
        axes,
        accepted_words(accepted),
        accepted,
        0.92,
        sheet.room.accepted,
        accepted < (view.low + view.high) / 2,
    )
    return sheet.figure


def accepted_words(value: float) -> Message:
    """What the line of the accepted value is called."""
    return Message(ACCEPTED.template, {"value": signed(short(value, 6))})


def _percent_axis(sheet: Sheet, axes: Axes, accepted: float, view: View) -> None:
    def to_error(capacity: Any) -> Any:
        return (capacity / accepted - 1) * 100

    def to_capacity(error: Any) -> Any:
        return accepted * (1 + error / 100)

    above = axes.secondary_xaxis("top", functions=(to_error, to_capacity))
    above.set_xlabel(
        sheet.say(ERROR_AXIS), fontsize=sheet.size.text, color=sheet.room.ink, labelpad=sheet.size.small / 2
    )
    above.tick_params(colors=sheet.room.ink, labelsize=sheet.size.small, length=sheet.size.small / 3)
    above.spines["top"].set_color(sheet.room.soft)
    above.xaxis.set_major_locator(_error_ticks())
    above.xaxis.set_major_formatter(FuncFormatter(lambda value, _: _error_text(sheet, value)))


def _error_ticks() -> MaxNLocator:
    return MaxNLocator(nbins=7, steps=[1, 2, 2.5, 5, 10])


def _error_text(sheet: Sheet, value: float) -> str:
    return ("+" if value > 1e-9 else "") + sheet.say(plain(short(value, 10))) + " %"


def _half_an_error(sheet: Sheet, accepted: float, view: View) -> float:
    """How far an error written at the very end of the scale reaches beyond it."""
    low, high = ((end / accepted - 1) * 100 for end in (view.low, view.high))
    texts = [_error_text(sheet, value) for value in _error_ticks().tick_values(low, high)]
    return 0.55 * max(sheet.width_of(plain(text), sheet.size.small) for text in texts)


def _class_interval(sheet: Sheet, axes: Axes, pooled: ClassValue, view: View) -> None:
    value, size = pooled.apparent_heat_capacity_J_per_kg_K, sheet.size
    if pooled.interval_95 is not None:
        low, high = (view.clamped(end) for end in pooled.interval_95)
        axes.fill_between(
            [low, high], 0.3, 0.56, color=sheet.room.band, linewidth=0, zorder=2, gid="class-band"
        )
        for height in (0.3, 0.56):
            axes.plot([low, high], [height] * 2, color=sheet.room.value, linewidth=size.line / 2, zorder=3)
        for end, held in zip(pooled.interval_95, (low, high), strict=True):
            if end == held:
                axes.plot([end, end], [0.26, 0.6], color=sheet.room.value, linewidth=size.line, zorder=3)
            else:
                _runs_off(sheet, axes, end, held)
    axes.plot(
        [value, value],
        [0.26, 0.6],
        color=sheet.room.value,
        linewidth=2 * size.line,
        zorder=3,
        gid="class-value",
    )
    words = Message(
        CLASS_VALUE.template,
        {"value": with_interval(value, pooled.interval_95), "error": _with_sign(pooled.percent_error)},
    )
    _label(sheet, axes, words, value, 0.14, sheet.room.value, value >= pooled.accepted_J_per_kg_K)


def _runs_off(sheet: Sheet, axes: Axes, end: float, held: float) -> None:
    """Where the interval goes on beyond the figure: an arrow and its end in words."""
    right = end > held
    number = sheet.say(plain(signed(round_significant(end, 2))))
    axes.annotate(
        f"{number} →" if right else f"← {number}",
        (held, 0.43),
        xytext=((-0.3 if right else 0.3) * sheet.size.text, 0),
        textcoords="offset points",
        ha="right" if right else "left",
        va="center",
        fontsize=sheet.size.small,
        color=sheet.room.value,
        zorder=6,
    )


def _with_sign(error: float) -> str:
    return ("+" if error > 0 else "") + percent(error)


def _label(sheet: Sheet, axes: Axes, message: Message, x: float, y: float, ink: str, right: bool) -> None:
    """Words beside their line, to its right or left."""
    label = axes.annotate(
        sheet.say(message),
        (x, y),
        xytext=((0.5 if right else -0.5) * sheet.size.text, 0),
        textcoords="offset points",
        ha="left" if right else "right",
        va="center",
        fontsize=1.2 * sheet.size.text,
        color=ink,
        fontweight="bold",
        annotation_clip=False,
        zorder=6,
    )
    sheet.keep_inside(label)
