"""What a bench types for one run: each field's step, label, units and reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.physics.reading.readings import Reading, parse_count, parse_length, parse_mass, parse_temperature
from app.words import N_

STEPS = ("weigh", "tube", "start", "count", "end", "check")
"""In the order of the work; the start temperature comes before any tipping."""


@dataclass(frozen=True)
class Field:
    """One thing typed. `units` are offered beside the field; a unit typed behind the number wins."""

    name: str
    step: str
    label: str
    units: tuple[str, ...]
    read: Callable[[str, str], Reading]
    needed: bool = True
    may_be_below_zero: bool = False


def _allowance(text: str, unit: str) -> Reading:
    return parse_length(text, unit, may_be_zero=True)


def _count(text: str, unit: str) -> Reading:
    return parse_count(text)


_ALL = (
    Field("shot_mass", "weigh", N_("Mass of the shot"), ("g", "kg"), parse_mass),
    Field("tube_length", "tube", N_("Length of the tube, inside"), ("cm", "m", "mm"), parse_length),
    Field("end_allowance", "tube", N_("End allowance"), ("cm", "m", "mm"), _allowance),
    Field(
        "start_temperature",
        "start",
        N_("START temperature"),
        ("°C", "°F"),
        parse_temperature,
        may_be_below_zero=True,
    ),
    Field(
        "room_temperature",
        "start",
        N_("Room temperature"),
        ("°C", "°F"),
        parse_temperature,
        needed=False,
        may_be_below_zero=True,
    ),
    Field("inversions", "count", N_("Inversions counted"), (), _count),
    Field(
        "end_temperature",
        "end",
        N_("END temperature"),
        ("°C", "°F"),
        parse_temperature,
        may_be_below_zero=True,
    ),
)
FIELDS: Mapping[str, Field] = {field.name: field for field in _ALL}
CARRIED = ("shot_mass", "tube_length", "end_allowance", "room_temperature")
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
