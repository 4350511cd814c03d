"""The lines of the heat ledger: words, share of the fall energy, uncertainty."""

from __future__ import annotations

from typing import NamedTuple

from app.analysis.results import ClassResult
from app.figures.numbers import signed
from app.physics.rounding import whole
from app.words import N_, Message

SHOT = Message(N_("warmed the shot"))
SINK = Message(N_("warmed tube, caps, cup and thermometer"))
REST = Message(N_("not accounted for"))


class Entry(NamedTuple):
    """One line: its share of the fall energy (1 = all), its standard uncertainty, its hatching.

    `percent` is the share as it is written: all lines together make 100.
    """

    name: str
    words: Message
    share: float
    u: float | None
    percent: int
    hatch: str


def entries(result: ClassResult) -> list[Entry]:
    """The ledger's lines; none without a ledger."""
    ledger = result.ledger
    if ledger is None:
        return []
    shot, sink, rest = ledger.percents
    lines = [Entry("shot", SHOT, ledger.shot, ledger.u_shot, shot, "")]
    if ledger.heat_sink is not None:
        lines.append(Entry("heat-sink", SINK, ledger.heat_sink, ledger.u_heat_sink, sink, "//"))
    lines.append(Entry("unaccounted", REST, ledger.unaccounted, ledger.u_unaccounted, rest, ".."))
    return lines


def share_text(percent: int, u: float | None) -> Message:
    """A share of the energy in percent, with its standard uncertainty `u` (1 = all) where there is one."""
    value = signed(str(percent))
    if u is None or 100 * u < 0.5:
        return Message(N_("%(share)s %%"), {"share": value})
    return Message(N_("%(share)s %% ± %(u)s %%"), {"share": value, "u": whole(100 * u)})
