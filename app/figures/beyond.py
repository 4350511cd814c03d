"""What no interval of a figure says: one end allowance for unlike masses, in a sentence for the wall."""

from __future__ import annotations

from app.analysis.results import ClassResult
from app.words import N_, Message


def beyond_the_interval(name: str, result: ClassResult) -> Message | None:
    """How far the number that this figure shows may be off; None where the benches have their own depths.

    The class's warning is about the specific heat capacity where that is separated, else the class value.
    """
    warning = result.one_allowance
    if warning is None or name != ("separated" if result.separated.identifiable else "accepted"):
        return None
    sentence = N_(
        "One end allowance for %(low)s to %(high)s g of shot: if it leaves out the shot, this is %(wide)s to "
        "%(narrow)s %% too high, and the interval does not say so."
    )
    return Message(sentence, {key: warning.values[key] for key in ("low", "high", "wide", "narrow")})
