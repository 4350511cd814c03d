"""The question about a thermometer that is far off in melting ice."""

from __future__ import annotations

from decimal import Decimal

from app.physics.limits import ICE_POINT_C
from app.physics.reading.readings import decimal_text
from app.words import N_, Message

FAR_OFF = N_("More than %(most)s K off: read it again in ice and water, stirred, or use another thermometer.")


def far_off(ice_point_C: Decimal) -> Message | None:
    """What is said, once, of a thermometer that shows this in melting ice; None for one that is near."""
    if ice_point_C in ICE_POINT_C.asked_outside:
        return None
    return Message(FAR_OFF, {"most": decimal_text(ICE_POINT_C.asked_outside.most)})
