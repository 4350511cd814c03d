"""What a question about a reading says, what it is asked about, and the correction that it offers.

Nothing is changed here: a proposal names what the fields would hold, and the bench's own word puts it there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.physics.reading.readings import Reading, decimal_text
from app.physics.run import ByQuantity
from app.words import N_, Message

YES, NO = N_("Yes, %(meant)s"), N_("No, %(meant)s")
"""“Did you mean 340 g?” is answered by the one, “Is it right?” by the other."""
EXCHANGE = N_("Yes, exchange them")


@dataclass(frozen=True)
class Proposal:
    """What the button says, and for each field its new text with the unit beside it ("" leaves that unit)."""

    label: Message
    typed: Mapping[str, tuple[str, str]]


@dataclass(frozen=True)
class Question:
    """One sentence about one field; without the slip, what the reading would be (SI) and how to type it."""

    field: str
    sentence: Message
    suggested: Decimal | None = None
    proposal: Proposal | None = None


@dataclass(frozen=True)
class RunAsRead(ByQuantity[Reading]):
    """One run's readings so far, by quantity."""


@dataclass(frozen=True)
class TypicalRun:
    """What the class or the plan expects, in SI; None where nothing is known."""

    shot_mass_kg: float | None = None
    tube_length_m: float | None = None
    inversions: float | None = None
    start_temperature_C: float | None = None
    room_temperature_C: float | None = None
    heat_capacity_J_per_kg_K: float | None = None
    density_kg_per_m3: float | None = None
    bore_m: float | None = None


def asked(field: str, sentence: str, **values: str) -> Question:
    """A question with no likely slip behind it."""
    return Question(field, Message(sentence, values))


def as_meant(field: str, read: Reading, meant: str, answer: str) -> Proposal:
    """One field holds `meant` (“340 g”, “50”) instead, with the decimal mark that the bench used."""
    number, _, unit = meant.partition(" ")
    return Proposal(
        Message(answer, {"meant": meant}),
        {field: (number.replace(".", ",") if "," in read.raw else number, unit)},
    )


def in_fahrenheit(field: str, read: Reading) -> Proposal:
    """The same number, read in °F."""
    number = decimal_text(read.typed)
    text = number if read.unit_was_typed else read.raw.strip()
    return Proposal(Message(YES, {"meant": f"{number} °F"}), {field: (text, "°F")})


def exchanged(start: Reading, end: Reading) -> Proposal:
    """Start and end the other way round, each with its own text and unit."""
    return Proposal(
        Message(EXCHANGE),
        {"start_temperature": _as_typed(end), "end_temperature": _as_typed(start)},
    )


def end_from_warming(start: Reading, warming: Reading) -> Proposal | None:
    """The warming was typed as the end: start + warming. None unless both are in °C, where they add up."""
    if start.unit != "°C" or warming.unit != "°C":
        return None
    meant = f"{decimal_text(start.value + warming.value)} °C"
    return as_meant("end_temperature", warming, meant, N_("Yes, the end was %(meant)s"))


def _as_typed(read: Reading) -> tuple[str, str]:
    """The text as it stands; a unit typed in it goes along, so the unit beside the field stays."""
    return read.raw.strip(), "" if read.unit_was_typed else read.unit
