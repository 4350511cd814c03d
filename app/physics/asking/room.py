"""Questions about the class's room temperature, which one person reads for everybody.

The shot often starts colder than the room, so that the leak cancels; its start is then no room temperature.
A class whose shot starts at the room's temperature answers once that it is right.
"""

from __future__ import annotations

from collections.abc import Iterable

from app.physics.asking.question import Question
from app.physics.asking.questions import LIKE_THE_START, unlikely_in_a_room
from app.physics.reading.readings import Reading, decimal_text
from app.words import Message

ROOM = "room_temperature"
SAME_WITHIN_K = 0.05  # our own choice
"""Two readings in tenths of a kelvin are the same where they differ by less."""


def unlikely_room_of_class(room: Reading, starts_C: Iterable[float]) -> Question | None:
    """Asked about where no room is so warm, or where the shot starts at that very temperature.

    `starts_C`: where the plan lets the shot start, and where it started.
    """
    question = unlikely_in_a_room(ROOM, room)
    if question is not None:
        return question
    if not any(abs(float(room.value) - start) < SAME_WITHIN_K for start in starts_C):
        return None
    return Question(ROOM, Message(LIKE_THE_START, {"read": decimal_text(room.value)}))
