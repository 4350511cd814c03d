"""The heat ledger: where the class's fall energy went, line by line."""

from __future__ import annotations

from matplotlib.figure import Figure

from app.analysis.results import ClassResult
from app.figures.alternative import Share, energy_shares, share_text
from app.figures.findings import no_ledger
from app.figures.sheet import LINE, Sheet
from app.words import N_, Message

TOTAL = Message(N_("all of the fall energy"))
HATCHES = {"heat-sink": "//", "unaccounted": ".."}
"""On a phone these bars are outlines alone: a hatch weighs as much as all the rest."""


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """One bar a line, all from the same zero, so that a negative remainder can be seen for what it is."""
    lines = energy_shares(result)
    if not lines:
        return sheet.only_words(no_ledger(result))
    size, room = sheet.size, sheet.room
    axes = sheet.axes(left=size.mark, bottom=size.mark, right=size.mark, top=size.text)
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)
    axes.set_xticks([])
    axes.set_yticks([])
    rows = [Share("all", TOTAL, 1.0, None, 100), *lines]
    low = min(0.0, *(one.share - (one.u or 0) for one in rows))
    high = max(1.0, *(one.share + (one.u or 0) for one in rows))
    low, high = max(low, -1.5), min(high, 2.5)
    said = {one.name: share_text(one.percent, one.u) for one in rows}
    beside = max(sheet.width_of(words, size.text, weight="bold") for words in said.values()) + size.text
    end = low + (high - low) / (1 - beside / (size.width - 2 * size.mark))
    # Read from the right, it grows from the right.
    axes.set_xlim(*((end, low) if sheet.right_to_left else (low, end)))
    near, far = ("right", "left") if sheet.right_to_left else ("left", "right")
    axes.set_ylim(len(rows), 0)
    wrapped = [sheet.wrapped(one.words, size.text, size.width - 2 * size.mark) for one in rows]
    # The words take of their row what they need; the bar has the rest.
    line = LINE * size.text * len(rows) / sheet.area(axes).height
    words_at = max(0.38, line * max(words.count("\n") + 1 for words in wrapped))
    thick = min(0.36, 0.9 - words_at)
    bar_at, zero = words_at + 0.06 + thick / 2, thick / 2 + 0.03
    inks = {"all": room.soft, "shot": room.ink, "heat-sink": room.value, "unaccounted": room.flag}
    for row, (name, _, share, u, _) in enumerate(rows):
        held = min(max(share, low), high)
        bar = axes.barh(
            row + bar_at,
            held,
            height=thick,
            color=room.paper if name in HATCHES else inks[name],
            edgecolor=inks[name],
            linewidth=size.line,
            hatch=None if size.beads else HATCHES.get(name),
            zorder=2,
        )
        bar[0].set_gid(f"bar-{name}")
        if u:
            axes.errorbar(
                [held],
                [row + bar_at],
                xerr=[u],
                color=room.ink,
                linewidth=size.line,
                capsize=size.small / 3,
                zorder=3,
            )
        axes.text(low, row + words_at, wrapped[row], fontsize=size.text, color=room.ink, ha=near, va="bottom")
        axes.text(
            end,
            row + bar_at,
            sheet.say(said[name]),
            fontsize=size.text,
            color=inks[name],
            ha=far,
            va="center",
            fontweight="bold",
            gid=f"share-{name}",
        )
        axes.plot(
            [0, 0], [row + bar_at - zero, row + bar_at + zero], color=room.ink, linewidth=size.line, zorder=4
        )
        if row:
            axes.axhline(row, color=room.rule, linewidth=size.line / 2, zorder=1)
    return sheet.figure
