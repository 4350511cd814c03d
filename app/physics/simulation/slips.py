"""The slips that benches make, applied to a run on purpose.

Used to try whether a slip is noticed and named. The nine kinds are those of the analysis; each one changes
the recorded run the way a real slip would, through the number as the bench would have typed it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from app.physics.reading.units import SCALES
from app.physics.rounding import one_decimal, whole
from app.physics.run import LabelledReadings


def with_slip(rng: np.random.Generator, run: LabelledReadings, slip: str) -> LabelledReadings:
    """The run with this slip in it; chance chooses where a slip has more than one form.

    KeyError for a slip that is not in `SLIPS`. A swap of digits that cannot change anything changes nothing.
    """
    return SLIPS[slip](rng, run)


def _mass_unit(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Kilograms typed where grams were asked for, or the other way round."""
    return replace(run, shot_mass_kg=run.shot_mass_kg * _one_of(rng, (0.001, 1000.0)))


def _length_unit(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Metres, millimetres or inches typed where centimetres were asked for, or centimetres for metres."""
    return replace(run, tube_length_m=run.tube_length_m * _one_of(rng, (0.01, 10.0, 1 / 2.54, 100.0)))


def _inversions_halved(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Only every second turn counted (there and back taken as one)."""
    return replace(run, inversions=float(max(1, round(run.inversions / 2))))


def _inversions_doubled(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Each turn counted twice."""
    return replace(run, inversions=run.inversions * 2)


def _temperatures_swapped(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Start and end in each other's place."""
    return replace(run, start_temperature_C=run.end_temperature_C, end_temperature_C=run.start_temperature_C)


def _fahrenheit(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Both temperatures read off the °F scale, to a tenth of a degree."""
    start, end = map(SCALES["°F"].shown, (run.start_temperature_C, run.end_temperature_C))
    return replace(run, start_temperature_C=round(start, 1), end_temperature_C=round(end, 1))


def _warming_as_end_temperature(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """The warming typed where the end temperature belongs."""
    return replace(run, end_temperature_C=round(run.end_temperature_C - run.start_temperature_C, 9))


def _digits_swapped(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """Two neighbouring digits of one temperature, or of the count, in each other's place."""
    starts = _neighbour_swaps(one_decimal(run.start_temperature_C))
    ends = _neighbour_swaps(one_decimal(run.end_temperature_C))
    counts = _neighbour_swaps(whole(run.inversions))
    forms = [
        *(replace(run, start_temperature_C=value) for value in starts),
        *(replace(run, end_temperature_C=value) for value in ends),
        *(replace(run, inversions=value) for value in counts),
    ]
    return forms[int(rng.integers(len(forms)))] if forms else run


def _end_allowance_forgotten(rng: np.random.Generator, run: LabelledReadings) -> LabelledReadings:
    """The whole tube taken as the fall."""
    return replace(run, end_allowance_m=0.0)


SLIPS: Mapping[str, Callable[[np.random.Generator, LabelledReadings], LabelledReadings]] = MappingProxyType(
    {
        "mass-unit": _mass_unit,
        "length-unit": _length_unit,
        "inversions-halved": _inversions_halved,
        "inversions-doubled": _inversions_doubled,
        "temperatures-swapped": _temperatures_swapped,
        "fahrenheit": _fahrenheit,
        "warming-as-end-temperature": _warming_as_end_temperature,
        "digits-swapped": _digits_swapped,
        "end-allowance-forgotten": _end_allowance_forgotten,
    }
)


def _one_of(rng: np.random.Generator, factors: tuple[float, ...]) -> float:
    return factors[int(rng.integers(len(factors)))]


def _neighbour_swaps(text: str) -> list[float]:
    """Every value that arises when two neighbouring digits (a mark between them aside) change places."""
    places = [i for i, character in enumerate(text) if character.isdigit()]
    values = []
    for left, right in pairwise(places):
        if text[left] == text[right]:
            continue
        characters = list(text)
        characters[left], characters[right] = characters[right], characters[left]
        value = float("".join(characters))
        if value != 0:
            values.append(value)
    return values
