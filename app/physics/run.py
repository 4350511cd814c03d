"""The quantities of a run, each declared once, and a run's readings in SI.

Phone, desk, records, run table, analysis and simulator take names, units, bounds and parsers from here. What
is shown where, and in which words, is declared where it is shown. Nothing here reads a form or a row.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from types import MappingProxyType
from typing import Annotated, Generic, TypeVar, get_type_hints

from app.physics import limits
from app.physics.energy import fall, warming
from app.physics.limits import Limits
from app.physics.reading.readings import (
    Reading,
    parse_count,
    parse_depth,
    parse_length,
    parse_mass,
    parse_temperature,
)
from app.words import N_

T = TypeVar("T")


@dataclass(frozen=True)
class Quantity:
    """One thing that a bench reads.

    `name` is that of the fields in which it is typed and of its columns in the records, `what` says what is
    read, `si_name` is the name of its value in SI (°C). `column` is that of the run table, which holds the SI
    value times ten to the power `shift`. `units` are offered beside a field, the usual one first. What is not
    `needed` may stay empty. Where a run table leaves out a needed one, `if_left_out` stands for it. What is
    `carried_over` does not change between a bench's runs. `planned`: a plan may give each bench its own.
    """

    name: str
    what: str
    column: str
    units: tuple[str, ...]
    parse: Callable[[str, str], Reading]
    limits: Limits
    shift: int = 0
    needed: bool = True
    if_left_out: float | None = None
    may_be_below_zero: bool = False
    carried_over: bool = False
    planned: bool = False
    si_name: str = ""

    def read(self, text: str, unit: str = "") -> Reading:
        """The reading in a typed text; `unit` is the one chosen beside it. Raises ReadingProblem."""
        return self.parse(text, unit or self.usual_unit)

    @property
    def usual_unit(self) -> str:
        """What a number without a unit is read in; empty for a count."""
        return self.units[0] if self.units else ""

    @property
    def per_si(self) -> float:
        """How many of the run table's unit make one of SI."""
        return float(10.0**self.shift)


def _count(text: str, _unit: str) -> Reading:
    return parse_count(text)


_MASS_UNITS, _LENGTH_UNITS, _TEMPERATURE_UNITS = ("g", "kg"), ("cm", "m", "mm"), ("°C", "°F")


@dataclass(frozen=True)
class Readings:
    """A run's readings in SI (temperatures in °C). A field that is added here is a quantity everywhere."""

    shot_mass_kg: Annotated[
        float,
        Quantity(
            "shot_mass",
            N_("Mass of the shot"),
            "shot_mass_g",
            _MASS_UNITS,
            parse_mass,
            limits.SHOT_MASS_KG,
            shift=3,
            carried_over=True,
            planned=True,
        ),
    ]
    tube_length_m: Annotated[
        float,
        Quantity(
            "tube_length",
            N_("Inner length of the tube"),
            "tube_length_cm",
            _LENGTH_UNITS,
            parse_length,
            limits.LENGTH_M,
            shift=2,
            carried_over=True,
            planned=True,
        ),
    ]
    end_allowance_m: Annotated[
        float,
        Quantity(
            "end_allowance",
            N_("What caps and settled shot take from the length"),
            "end_allowance_cm",
            _LENGTH_UNITS,
            partial(parse_length, may_be_zero=True),
            limits.END_ALLOWANCE_M,
            shift=2,
            if_left_out=0.0,
            carried_over=True,
        ),
    ]
    inversions: Annotated[
        float,
        Quantity(
            "inversions",
            N_("How often the tube was turned over"),
            "inversions",
            (),
            _count,
            limits.INVERSIONS,
            planned=True,
        ),
    ]
    start_temperature_C: Annotated[
        float,
        Quantity(
            "start_temperature",
            N_("Temperature of the shot before the first turn"),
            "start_temperature_C",
            _TEMPERATURE_UNITS,
            parse_temperature,
            limits.START_TEMPERATURE_C,
            may_be_below_zero=True,
        ),
    ]
    end_temperature_C: Annotated[
        float,
        Quantity(
            "end_temperature",
            N_("Temperature of the shot after the last turn"),
            "end_temperature_C",
            _TEMPERATURE_UNITS,
            parse_temperature,
            limits.END_TEMPERATURE_C,
            may_be_below_zero=True,
        ),
    ]
    room_temperature_C: Annotated[
        float | None,
        Quantity(
            "room_temperature",
            N_("Temperature of the room"),
            "room_temperature_C",
            _TEMPERATURE_UNITS,
            parse_temperature,
            limits.ROOM_TEMPERATURE_C,
            needed=False,
            may_be_below_zero=True,
            carried_over=True,
        ),
    ] = None
    caps_m: Annotated[
        float | None,
        Quantity(
            "caps",
            N_("What the closed caps alone take from the length"),
            "caps_cm",
            _LENGTH_UNITS,
            partial(parse_length, may_be_zero=True),
            limits.END_ALLOWANCE_M,
            shift=2,
            needed=False,
            carried_over=True,
        ),
    ] = None
    settled_depth_m: Annotated[
        float | None,
        Quantity(
            "settled_depth",
            N_("How deep the settled shot lies in the upright tube"),
            "settled_depth_cm",
            _LENGTH_UNITS,
            parse_depth,
            limits.SETTLED_DEPTH_M,
            shift=2,
            needed=False,
            carried_over=True,
        ),
    ] = None

    @property
    def fall_m(self) -> float:
        """How far the shot falls in one inversion."""
        return fall(self.tube_length_m, self.end_allowance_m)

    @property
    def warming_K(self) -> float:
        """From start to end; below zero where the end was the colder."""
        return warming(self.start_temperature_C, self.end_temperature_C)


def _declared() -> Iterable[Quantity]:
    for si_name, hint in get_type_hints(Readings, include_extras=True).items():
        (quantity,) = hint.__metadata__
        yield replace(quantity, si_name=si_name)


QUANTITIES: Mapping[str, Quantity] = MappingProxyType({one.name: one for one in _declared()})
"""By name, in the order of the run table."""


@dataclass(frozen=True)
class _Label:
    bench: str
    run: str


@dataclass(frozen=True)
class LabelledReadings(Readings, _Label):
    """A run's readings with the labels of its bench and of the run at that bench: those come first."""


@dataclass(frozen=True)
class ByQuantity(Generic[T]):
    """One thing for each quantity, such as the number that was typed: `run.shot_mass`, `run.inversions`, ….

    An attribute is None where nothing is there for that quantity.
    """

    of: Mapping[str, T]

    def __getattr__(self, name: str) -> T | None:
        if name not in QUANTITIES:
            raise AttributeError(name)
        return self.of.get(name)
