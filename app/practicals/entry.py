"""One run as typed: what is refused as impossible, its digest, and the way into and out of a row."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any

from app.physics.limits import MOST_INVERSIONS
from app.physics.readings import too_many_inversions
from app.practicals.shapes import Typed, TypedNumber
from app.records.errors import Unprocessable
from app.records.models import RunVersion
from app.words import N_, Message

LONGEST_TEXT = 60
ABSOLUTE_ZERO_C = Decimal("-273.15")

# entry field → (column of the exact value, whether the row keeps a unit)
VALUE_COLUMNS = {
    "shot_mass": "shot_mass_kg",
    "tube_length": "tube_length_m",
    "end_allowance": "end_allowance_m",
    "inversions": "inversions",
    "start_temperature": "start_temperature_C",
    "end_temperature": "end_temperature_C",
    "room_temperature": "room_temperature_C",
    "own_heat_capacity": "own_heat_capacity_J_per_kg_K",
}


class ImpossibleReading(Unprocessable):
    """A reading that no bench could have made; `field` is the entry's field."""

    def __init__(self, field: str, message: Message) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class RunEntry:
    """One run as typed. Every number carries its text, its unit and its exact value in SI (°C).

    `own_heat_capacity` is what the bench worked out itself, in J/(kg·K).
    """

    shot_mass: TypedNumber
    tube_length: TypedNumber
    end_allowance: TypedNumber
    inversions: TypedNumber
    start_temperature: TypedNumber
    end_temperature: TypedNumber
    room_temperature: TypedNumber | None = None
    own_heat_capacity: TypedNumber | None = None


def check_entry(entry: RunEntry) -> None:
    """Refuse the impossible, naming the field; what is merely odd is kept, because odd readings are data."""
    for name in VALUE_COLUMNS:
        typed: TypedNumber | None = getattr(entry, name)
        if typed is not None and (not typed.value.is_finite() or len(typed.raw) > LONGEST_TEXT):
            raise ImpossibleReading(name, Message(N_("That is not a reading. Type one number.")))
        if typed is not None and typed.value != 0 and not -18 <= typed.value.adjusted() <= 12:
            raise ImpossibleReading(
                name, Message(N_("That number is far outside anything a bench can read."))
            )
    for name in ("shot_mass", "tube_length"):
        if getattr(entry, name).value <= 0:
            raise ImpossibleReading(name, Message(N_("This must be more than zero.")))
    if entry.end_allowance.value < 0 or entry.end_allowance.value >= entry.tube_length.value:
        raise ImpossibleReading(
            "end_allowance",
            Message(N_("The end allowance must be at least zero and less than the tube length.")),
        )
    count = entry.inversions.value
    if count > MOST_INVERSIONS:
        raise ImpossibleReading("inversions", too_many_inversions(count))
    if count != count.to_integral_value() or count < 1:
        raise ImpossibleReading(
            "inversions", Message(N_("Inversions are counted: a whole number, at least 1."))
        )
    for name in ("start_temperature", "end_temperature", "room_temperature"):
        typed = getattr(entry, name)
        if typed is not None and not ABSOLUTE_ZERO_C <= typed.value <= 1000:
            raise ImpossibleReading(
                name, Message(N_("No thermometer in the room can read that temperature."))
            )


def body_digest(entry: RunEntry) -> str:
    """The digest by which the same body sent again is known."""
    body = {
        name: None if typed is None else [typed.raw.strip(), typed.unit, format(typed.value, "f")]
        for name in VALUE_COLUMNS
        for typed in [getattr(entry, name)]
    }
    return hashlib.sha256(json.dumps(body, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def columns_of(entry: RunEntry) -> dict[str, Any]:
    """The entry as columns of a version's row."""
    columns: dict[str, Any] = {"body_digest": body_digest(entry)}
    for name, value_column in VALUE_COLUMNS.items():
        typed: TypedNumber | None = getattr(entry, name)
        columns[f"{name}_text"] = None if typed is None else typed.raw
        if name == "inversions":
            columns["inversions"] = int(entry.inversions.value)
            continue
        columns[f"{name}_unit"] = None if typed is None else typed.unit
        columns[value_column] = None if typed is None else typed.value
    return columns


def entry_of(row: RunVersion) -> RunEntry:
    """The entry as it was typed, out of a version's row."""
    typed: dict[str, Typed | None] = {}
    for field in fields(RunEntry):
        text = getattr(row, f"{field.name}_text")
        value = getattr(row, VALUE_COLUMNS[field.name])
        if text is None:
            typed[field.name] = None
        elif field.name == "inversions":
            typed[field.name] = Typed(text, Decimal(value), "")
        else:
            typed[field.name] = Typed(text, value, getattr(row, f"{field.name}_unit"))
    return RunEntry(**typed)  # type: ignore[arg-type]
