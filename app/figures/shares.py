"""The lines of the heat ledger: words, share of the fall energy, uncertainty."""

from __future__ import annotations

from app.analysis.results import ClassResult
from app.figures.numbers import signed
from app.words import N_, Message

SHOT = Message(N_("warmed the shot"))
SINK = Message(N_("warmed tube, caps, cup and thermometer"))
REST = Message(N_("not accounted for"))


def entries(result: ClassResult) -> list[tuple[str, Message, float, float | None, str]]:
    """The ledger's lines: key, words, share of the fall energy, its standard uncertainty, hatching."""
    ledger = result.ledger
    if ledger is None:
        return []
    lines: list[tuple[str, Message, float, float | None, str]] = [
        ("shot", SHOT, ledger.shot, ledger.u_shot, "")
    ]
    if ledger.heat_sink is not None:
        lines.append(("heat-sink", SINK, ledger.heat_sink, ledger.u_heat_sink, "//"))
    lines.append(("unaccounted", REST, ledger.unaccounted, ledger.u_unaccounted, ".."))
    return lines


def share_text(share: float, u: float | None) -> Message:
    """A share of the energy in percent, with its standard uncertainty where there is one."""
    value = signed(f"{100 * share:.0f}")
    if u is None or 100 * u < 0.5:
        return Message(N_("%(share)s %%"), {"share": value})
    return Message(N_("%(share)s %% ± %(u)s %%"), {"share": value, "u": f"{100 * u:.0f}"})
