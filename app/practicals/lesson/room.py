"""The room temperature of a class: one reading, the default of every run without one of its own."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy.orm import Session

from app.practicals.lesson.details import PracticalDetails, details_of
from app.practicals.lesson.permission import note_change, practical_to_run
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import HistoryKind
from app.records.engine import Database
from app.records.models import Practical


@dataclass(frozen=True)
class RoomTemperature:
    """As typed, with its unit if that was typed, and in °C; None where nobody read it."""

    typed: str = ""
    value_C: Decimal | None = None


def set_room_temperature(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    room: RoomTemperature,
    now: datetime,
    unless_known: bool = False,
) -> PracticalDetails:
    """Replace the class's room temperature, in any state; what it was before is kept in the history.

    `unless_known` leaves one that the class has already. The practical as it then stands.
    """
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if not (unless_known and practical.room_temperature_C is not None):
            put_room_temperature(session, practical, room, actor, now)
        return details_of(practical)


def put_room_temperature(
    session: Session, practical: Practical, room: RoomTemperature, actor: TeacherIdentity, now: datetime
) -> None:
    """The same inside a transaction. The temperature that is stored already changes nothing."""
    before = practical.room_temperature_C
    practical.typed = {**practical.typed, "room_temperature": room.typed}
    if before == room.value_C:
        return
    practical.room_temperature_C = room.value_C
    changed = f"room_temperature_C: {before} → {room.value_C}"
    note_change(session, practical, HistoryKind.PLAN_CHANGED, actor, now, changed)
