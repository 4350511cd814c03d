"""One run as typed: what is refused as impossible, its digest, and the way into and out of a row."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from app.physics.limits import LONGEST_TYPED, can_be_stored
from app.physics.reading.ends import NO_FALL, PARTS, WHOLE, add_up, do_not_add_up, nothing_falls
from app.physics.reading.readings import too_many_inversions
from app.physics.run import QUANTITIES, ByQuantity, Quantity, Readings
from app.practicals.lesson.details import Typed, TypedNumber
from app.records.errors import FieldProblem
from app.records.models import RunVersion
from app.words import N_, Message

VALUE_COLUMNS = {
    **{quantity.name: quantity.si_name for quantity in QUANTITIES.values()},
    "own_heat_capacity": "own_heat_capacity_J_per_kg_K",
}
"""The column of the exact value for each number of an entry."""


class ImpossibleReading(FieldProblem):
    """A reading that no bench could have made."""


@dataclass(frozen=True)
class RunEntry(ByQuantity[TypedNumber]):
    """One run as typed. Every number carries its text, its unit and its exact value in SI (°C).

    `own_heat_capacity` is what the bench worked out itself, in J/(kg·K).
    """

    own_heat_capacity: TypedNumber | None = None

    def __getattr__(self, name: str) -> TypedNumber:
        """A needed quantity is always there; one that may stay empty is to be asked for by `of.get`."""
        return super().__getattr__(name)  # type: ignore[return-value]

    @property
    def readings(self) -> Readings:
        """The numbers alone, in SI."""
        return Readings(**self.in_si)

    @property
    def in_si(self) -> dict[str, Any]:
        """The numbers by their names in SI; None where one that may stay empty did."""
        return {
            quantity.si_name: float(self.of[name].value) if name in self.of else None
            for name, quantity in QUANTITIES.items()
        }

    @property
    def warming_K(self) -> Decimal:
        """End less start, with the decimals that were read."""
        return self.end_temperature.value - self.start_temperature.value

    @property
    def numbers(self) -> dict[str, TypedNumber | None]:
        """Every number by its name, what the bench worked out itself among them."""
        return {name: self.of.get(name) for name in QUANTITIES} | {
            "own_heat_capacity": self.own_heat_capacity
        }


def check_entry(entry: RunEntry) -> None:
    """Refuse the impossible, naming the field; what is merely odd is kept, because odd readings are data."""
    for name, typed in entry.numbers.items():
        if typed is None:
            continue
        if not typed.value.is_finite() or len(typed.raw) > LONGEST_TYPED:
            raise ImpossibleReading(name, N_("That is not a reading. Type one number."))
        if not can_be_stored(typed.value):
            raise ImpossibleReading(name, N_("That number is far outside anything a bench can read."))
        if name in QUANTITIES and QUANTITIES[name].limits.refuses(typed.value):
            raise ImpossibleReading(name, _why_refused(QUANTITIES[name], typed.value))
    _check_ends(entry)
    if entry.inversions.value != entry.inversions.value.to_integral_value():
        raise ImpossibleReading("inversions", NOT_COUNTED)


def _check_ends(entry: RunEntry) -> None:
    """Something is left to fall, and caps and depth, where both were measured, make the end allowance."""
    allowance, caps, depth = entry.end_allowance, entry.of.get("caps"), entry.of.get("settled_depth")
    in_two_parts = caps is not None and depth is not None
    for field, sentence in nothing_falls(entry.tube_length.value, allowance.value, in_two_parts).items():
        raise ImpossibleReading(field, sentence)
    if caps is None or depth is None:
        return
    if not add_up(float(caps.value), float(depth.value), float(allowance.value)):
        raise ImpossibleReading(WHOLE, do_not_add_up(caps.value, depth.value, allowance.value))


NOT_COUNTED = Message(N_("Inversions are counted: a whole number, at least 1."))


def _why_refused(quantity: Quantity, value: Decimal) -> Message:
    """The sentence for a value outside the quantity's limits."""
    if quantity.name == "inversions":
        return too_many_inversions(value) if value > 1 else NOT_COUNTED
    if quantity.may_be_below_zero:
        return Message(N_("No thermometer in the room can read that temperature."))
    if value > 0:
        return Message(N_("That number is far outside anything a bench can read."))
    return Message(N_("This must be more than zero.")) if quantity.limits.above_least else NO_FALL


def body_digest(entry: RunEntry) -> str:
    """The digest by which the same body sent again is known.

    A run without the parts of its end allowance has the digest that it had before there were such parts.
    """
    body = {
        name: None if typed is None else [typed.raw.strip(), typed.unit, format(typed.value, "f")]
        for name, typed in entry.numbers.items()
        if typed is not None or name not in PARTS
    }
    return hashlib.sha256(json.dumps(body, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def columns_of(entry: RunEntry) -> dict[str, Any]:
    """The entry as columns of a version's row."""
    columns: dict[str, Any] = {"body_digest": body_digest(entry)}
    for name, typed in entry.numbers.items():
        columns[f"{name}_text"] = None if typed is None else typed.raw
        if name in QUANTITIES and not QUANTITIES[name].units:
            columns[name] = None if typed is None else int(typed.value)
            continue
        columns[f"{name}_unit"] = None if typed is None else typed.unit
        columns[VALUE_COLUMNS[name]] = None if typed is None else typed.value
    return columns


def entry_of(row: RunVersion) -> RunEntry:
    """The entry as it was typed, out of a version's row."""
    typed = {
        name: Typed(text, Decimal(getattr(row, column)), getattr(row, f"{name}_unit", ""))
        for name, column in VALUE_COLUMNS.items()
        if (text := getattr(row, f"{name}_text")) is not None
    }
    own = typed.pop("own_heat_capacity", None)
    return RunEntry(typed, own)
