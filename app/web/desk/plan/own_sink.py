"""The department's own heat sink, which the planner starts from in place of a guess."""

from __future__ import annotations

from flask import g

from app.analysis.figure import Pooled
from app.physics.limits import HEAT_SINK_J_PER_K
from app.practicals.archive.over_years import heat_sinks
from app.web.storage import database


def own_heat_sink() -> Pooled | None:
    """That of the department's newest practicals, pooled; None where too few tell it."""
    from app.analysis.over_years import pooled  # noqa: PLC0415 - brings scipy

    found = pooled(heat_sinks(database(), actor=g.teacher))
    return found if found is not None and found.value > 0 and found.value in HEAT_SINK_J_PER_K else None
