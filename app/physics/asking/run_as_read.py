"""A run as far as it has been read, what is typical of its class, and what a question about it says."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from app.physics.asking.corrections import Proposal
from app.physics.reading.readings import Reading
from app.physics.run import ByQuantity
from app.words import Message


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
    heat_capacity_J_per_kg_K: float | None = None
    density_kg_per_m3: float | None = None
    bore_m: float | None = None
