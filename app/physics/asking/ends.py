"""An end allowance that leaves little of the fall, as it was typed: as one length, or as caps and depth."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from app.physics.asking.question import NO, Question, RunAsRead, as_meant
from app.physics.reading.readings import Reading
from app.physics.rounding import shortest
from app.words import N_, Message


def unlikely_ends(run: RunAsRead) -> Question | None:
    """An end allowance of half the tube or more; where the bench measured the depth, that is asked about."""
    allowance, length, depth = run.end_allowance, run.tube_length, run.settled_depth
    if allowance is None or length is None or 2 * allowance.value < length.value:
        return None
    sentence = N_("An end allowance of %(read)s leaves little or no fall in a tube of %(tube)s. Is it right?")
    values = {"read": length_text(allowance.value), "tube": length_text(length.value)}
    asked = Question("end_allowance", Message(sentence, values))
    if depth is None:
        return _a_tenth_of(asked, allowance, allowance, length)
    return _a_tenth_of(replace(asked, field="settled_depth"), depth, allowance, length)


def _a_tenth_of(asked: Question, typed: Reading, allowance: Reading, length: Reading) -> Question:
    """Millimetres typed as centimetres: a tenth is offered where that leaves more than half of the fall."""
    tenth = typed.value / 10
    if 2 * (allowance.value - typed.value + tenth) >= length.value:
        return asked
    proposal = as_meant(asked.field, typed, length_text(tenth), NO)
    return replace(asked, suggested=tenth, proposal=proposal)


def length_text(metres: Decimal) -> str:
    """In the unit that a tube of that length is spoken of in (our own choice)."""
    if metres >= Decimal("2.5"):
        return f"{shortest(metres)} m"
    return f"{shortest(metres * 100)} cm" if metres >= Decimal("0.01") else f"{shortest(metres * 1000)} mm"
