"""Readings that are possible but unlikely: asked about once, in words, and then kept.

Each question names the likely slip and what the reading would be without it (`corrections` says it as
text). Odd readings are data, so nothing here refuses or changes anything.
"""

from __future__ import annotations

from collections.abc import Sequence

from app.physics.asking.run_as_read import Question, RunAsRead, TypicalRun
from app.physics.asking.setup import unlikely_allowance, unlikely_count, unlikely_length, unlikely_mass
from app.physics.asking.temperatures import unlikely_end, unlikely_in_a_room, unlikely_start


def questions_about(run: RunAsRead, typical: TypicalRun | None = None) -> tuple[Question, ...]:
    """Every question worth asking about what was read, at most one a field, in the order of the work."""
    known = TypicalRun() if typical is None else typical
    asked: Sequence[Question | None] = (
        unlikely_mass(run, known),
        unlikely_length(run, known),
        unlikely_allowance(run),
        unlikely_count(run, known),
        unlikely_start(run, known),
        unlikely_end(run, known),
        unlikely_in_a_room("room_temperature", run.room_temperature),
    )
    return tuple(question for question in asked if question is not None)
