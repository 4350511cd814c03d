"""Where the phone asks for each quantity of a run, and in which words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.physics.run import QUANTITIES, Quantity
from app.words import N_

STEPS = ("weigh", "tube", "start", "count", "end", "check")
"""In the order of the work; the start temperature comes before any tipping."""


@dataclass(frozen=True)
class Field:
    """One quantity as the phone asks for it."""

    quantity: Quantity
    step: str
    label: str

    @property
    def name(self) -> str:
        """The quantity's name, which the form's field has too."""
        return self.quantity.name


def _field(name: str, step: str, label: str) -> Field:
    return Field(QUANTITIES[name], step, label)


_ALL = (
    _field("shot_mass", "weigh", N_("Mass of the shot")),
    _field("tube_length", "tube", N_("Length of the tube, inside")),
    _field("end_allowance", "tube", N_("End allowance")),
    _field("start_temperature", "start", N_("START temperature")),
    _field("room_temperature", "start", N_("Room temperature")),
    _field("inversions", "count", N_("Inversions counted")),
    _field("end_temperature", "end", N_("END temperature")),
)
FIELDS: Mapping[str, Field] = {field.name: field for field in _ALL}
CARRIED = tuple(field.name for field in _ALL if field.quantity.carried_over)
"""What does not change between a bench's runs."""


def fields_of(step: str) -> tuple[Field, ...]:
    """The fields of one step."""
    return tuple(field for field in _ALL if field.step == step)


def step_after(step: str) -> str:
    """The next step."""
    return STEPS[min(STEPS.index(step) + 1, len(STEPS) - 1)]


def step_before(step: str) -> str:
    """The step before."""
    return STEPS[max(STEPS.index(step) - 1, 0)]
