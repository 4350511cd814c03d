"""How a run's warming compares with what falls like its own usually give, in words that praise or help."""

from __future__ import annotations

from dataclasses import dataclass

from app.physics.rounding import round_significant, short
from app.words import N_, Message

_INSIDE = N_(
    "Well done: %(warming)s K lies inside the %(low)s to %(high)s K that falls like these usually give."
)
_LESS = N_("%(warming)s K is less than the %(low)s to %(high)s K that falls like these usually give.")
_MORE = N_("%(warming)s K is more than the %(low)s to %(high)s K that falls like these usually give.")
_READ_AT_ONCE = Message(
    N_("Next time read the END temperature at once, with the thermometer in the middle of the shot.")
)
_EQUALLY_WARM = Message(
    N_("Next time let tube and shot become equally warm before you begin, and hold the caps alone.")
)


@dataclass(frozen=True)
class Verdict:
    """Whether the warming is usual, the sentence that says so, and what the next run could do better."""

    inside: bool
    sentence: Message
    next_time: Message | None


def verdict(warming_K: float, usual_K: tuple[float, float]) -> Verdict:
    """The range's own ends lie inside. Domain: low ≤ high."""
    low, high = usual_K
    values = {
        "warming": short(warming_K, 4),
        "low": round_significant(low, 1),
        "high": round_significant(high, 1),
    }
    if warming_K < low:
        return Verdict(False, Message(_LESS, values), _READ_AT_ONCE)
    if warming_K > high:
        return Verdict(False, Message(_MORE, values), _EQUALLY_WARM)
    return Verdict(True, Message(_INSIDE, values), None)
