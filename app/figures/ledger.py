"""The heat ledger: where the class's fall energy went, line by line."""

from __future__ import annotations

from matplotlib.figure import Figure

from app.analysis.results import ClassResult
from app.figures.alternative import Share, energy_shares, share_text
from app.figures.findings import no_ledger
from app.figures.sheet import Sheet
from app.words import N_, Message

TOTAL = Message(N_("all of the fall energy"))
HATCHES = {"heat-sink": "//", "unaccounted": ".."}


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
    axes.set_xlim(low, high)
    axes.set_ylim(len(rows), 0)
    inks = {"all": room.soft, "shot": room.ink, "heat-sink": room.value, "unaccounted": room.flag}
    for row, (name, words, share, u, percent) in enumerate(rows):
        held = min(max(share, low), high)
        bar = axes.barh(
            row + 0.62,
            held,
            height=0.36,
            color=room.paper if name in HATCHES else inks[name],
            edgecolor=inks[name],
            linewidth=size.line,
            hatch=HATCHES.get(name),
            zorder=2,
        )
        bar[0].set_gid(f"bar-{name}")
        if u:
            axes.errorbar(
                [held],
                [row + 0.62],
                xerr=[u],
                color=room.ink,
                linewidth=size.line,
                capsize=size.small / 3,
                zorder=3,
            )
        axes.text(
            low, row + 0.36, sheet.say(words), fontsize=size.text, color=room.ink, ha="left", va="bottom"
        )
        axes.text(
            high,
            row + 0.36,
            sheet.say(share_text(percent, u)),
            fontsize=1.1 * size.text,
            color=inks[name],
            ha="right",
            va="bottom",
            fontweight="bold",
            gid=f"share-{name}",
        )
        axes.plot([0, 0], [row + 0.4, row + 0.84], color=room.ink, linewidth=size.line, zorder=4)
        if row:
            axes.axhline(row, color=room.rule, linewidth=size.line / 2, zorder=1)
    return sheet.figure
