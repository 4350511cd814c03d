"""The key under a figure: what a hollow mark and a ring mean, in words."""

from __future__ import annotations

from collections.abc import Iterable

from app.analysis.results import RunResult
from app.figures.marks import Mark, draw_mark
from app.figures.sheet import Sheet
from app.words import N_, Message

COUNTED = Message(N_("counted"))
FLAGGED = Message(N_("flagged: look again"))
SET_ASIDE = Message(N_("set aside by the teacher"))


def mark_of(run: RunResult, x: float, y: float) -> Mark:
    """The mark of one run at its place."""
    readings = run.readings
    return Mark(x, y, readings.bench, f"{readings.bench}-{readings.run}", readings.set_aside, bool(run.flags))


def draw_key(sheet: Sheet, runs: Iterable[RunResult], y: float) -> None:
    """One line that explains the kinds of mark that are there; nothing when all are plain."""
    listed = list(runs)
    items = []
    if any(run.flags for run in listed):
        items.append((FLAGGED, False, True))
    if any(run.readings.set_aside for run in listed):
        items.append((SET_ASIDE, True, False))
    if not items:
        return
    fontsize, gap = sheet.size.small, sheet.size.mark
    x = gap
    for words, hollow, ringed in [(COUNTED, False, False), *items]:
        draw_mark(sheet, None, Mark(x, y, "", f"key-{words.template[:7]}", hollow, ringed), scale=0.6)
        sheet.write(x + 0.65 * gap, y, words, fontsize=fontsize, color=sheet.room.soft, ha="left")
        x += 2 * gap + sheet.width_of(words, fontsize)
