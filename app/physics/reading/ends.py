"""The two ends of a tube: what the caps take and how deep the shot lies are two lengths, read apart.

Together they are the end allowance. A bench types the two, or the allowance alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from app.physics.limits import PARTS_ADD_UP_WITHIN_M
from app.physics.reading.readings import Reading, ReadingProblem, parse_length
from app.physics.rounding import shortest
from app.words import N_, Message

WHOLE = "end_allowance"
PARTS = ("caps", "settled_depth")
MEASURED_BY_BENCHES = Message(N_("caps and settled shot, measured by each bench"))
"""What stands for the plan's end allowance where the benches measure."""


def with_allowance(readings: Mapping[str, Reading]) -> dict[str, Reading]:
    """The readings with the end allowance that their caps and depth make, in the depth's own place.

    Without both parts they stay as they are. Raises ReadingProblem where an allowance was typed too and is
    another length.
    """
    caps, depth, typed = (readings.get(name) for name in (*PARTS, WHOLE))
    if caps is None or depth is None:
        return dict(readings)
    together = caps.value + depth.value
    if typed is None:
        return {**readings, WHOLE: parse_length(f"{shortest(100 * together)} cm", may_be_zero=True)}
    if not add_up(float(caps.value), float(depth.value), float(typed.value)):
        raise ReadingProblem(do_not_add_up(caps.value, depth.value, typed.value))
    return dict(readings)


NO_FALL = Message(N_("The end allowance must be at least zero and less than the tube length."))
TOO_DEEP = Message(
    N_(
        "Caps and settled shot fill the whole tube, so nothing would fall. Measure the "
        "depth of the shot again."
    )
)


def nothing_falls(length_m: Decimal, allowance_m: Decimal, in_two_parts: bool) -> Mapping[str, Message]:
    """The field and the sentence where the ends take the whole tube; empty where something can fall."""
    if allowance_m < length_m:
        return {}
    return {PARTS[1]: TOO_DEEP} if in_two_parts else {WHOLE: NO_FALL}


def add_up(caps_m: float, settled_depth_m: float, end_allowance_m: float) -> bool:
    """Whether the parts make the whole, but for a reading's last millimetre."""
    # A hair more, because the lengths are binary fractions: our own choice.
    return abs(caps_m + settled_depth_m - end_allowance_m) <= PARTS_ADD_UP_WITHIN_M + 1e-9


def do_not_add_up(caps_m: Decimal, depth_m: Decimal, allowance_m: Decimal) -> Message:
    """The sentence for an allowance that is not what caps and depth make."""
    sentence = N_(
        "Caps (%(caps)s cm) and settled shot (%(depth)s cm) make %(sum)s cm, but the end allowance says "
        "%(allowance)s cm. Correct one of them, or leave the end allowance empty."
    )
    values = {"caps": caps_m, "depth": depth_m, "sum": caps_m + depth_m, "allowance": allowance_m}
    return Message(sentence, {name: shortest(100 * value) for name, value in values.items()})
