"""Every known slip of the pen undone, in every way it can have happened."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any, NamedTuple

from app.analysis.doubt.slip_words import (
    ALLOWANCE_FORGOTTEN,
    DIGITS_SWAPPED,
    FAHRENHEIT,
    INVERSIONS_DOUBLED,
    INVERSIONS_HALVED,
    LENGTH_UNIT,
    MASS_UNIT,
    TEMPERATURES_SWAPPED,
    WARMING_AS_END,
)
from app.analysis.doubt.thermometer_marks import off_mark
from app.analysis.readings import RunReadings
from app.physics.reading.units import SCALES, Scale

SEARCH_COST = 6.0  # 2 ln 20: as for a choice among twenty places to swap digits (our own choice)


class Undone(NamedTuple):
    """One way in which a run would read without a slip; `prior` is a cost for having searched widely."""

    slip: str
    field: str
    corrected: RunReadings
    prior: float = 0.0


def scales_of(run: RunReadings) -> dict[str, Scale]:
    """The scale on which each temperature was read (°C where nobody knows)."""
    return {
        "start_temperature_C": SCALES.get(run.start_read_in, SCALES["°C"]),
        "end_temperature_C": SCALES.get(run.end_read_in, SCALES["°C"]),
    }


def undone(
    run: RunReadings, allowance: float | None, step: float, on_marks: bool, scales: dict[str, Scale]
) -> Iterator[Undone]:
    """Every known slip undone, in every way it can have happened."""
    start, end = run.start_temperature_C, run.end_temperature_C
    for factor in (1e3, 1e-3):
        yield Undone(MASS_UNIT, "shot_mass_kg", replace(run, shot_mass_kg=run.shot_mass_kg * factor))
    for factor in (0.1, 100.0, 2.54, 1.0 / 2.54, 0.01):
        length, taken_off = run.tube_length_m * factor, run.end_allowance_m * factor
        yield Undone(LENGTH_UNIT, "tube_length_m", replace(run, tube_length_m=length))
        if run.end_allowance_m > 0.0:
            both = replace(run, tube_length_m=length, end_allowance_m=taken_off)
            yield Undone(LENGTH_UNIT, "tube_length_m", both)
            yield Undone(LENGTH_UNIT, "end_allowance_m", replace(run, end_allowance_m=taken_off))
    doubled = replace(run, inversions=run.inversions * 2.0)
    yield Undone(INVERSIONS_HALVED, "inversions", doubled)
    if run.inversions % 2.0 == 0.0:
        halved = replace(run, inversions=run.inversions / 2.0)
        yield Undone(INVERSIONS_DOUBLED, "inversions", halved)
    if start > end:
        swapped = replace(run, start_temperature_C=end, end_temperature_C=start)
        yield Undone(TEMPERATURES_SWAPPED, "end_temperature_C", swapped)
    if 0.0 < end < start:
        warmed = replace(run, end_temperature_C=start + end)
        yield Undone(WARMING_AS_END, "end_temperature_C", warmed)
    yield from _fahrenheit(run)
    if run.end_allowance_m == 0.0 and allowance is not None:
        taken = replace(run, end_allowance_m=allowance)
        yield Undone(ALLOWANCE_FORGOTTEN, "end_allowance_m", taken)
    yield from _swapped_digits(run, step, on_marks, scales)


def _fahrenheit(run: RunReadings) -> Iterator[Undone]:
    start, end = map(SCALES["°F"].celsius, (run.start_temperature_C, run.end_temperature_C))
    both = replace(run, start_temperature_C=start, end_temperature_C=end)
    yield Undone(FAHRENHEIT, "end_temperature_C", both)
    yield Undone(FAHRENHEIT, "end_temperature_C", replace(run, end_temperature_C=end), 2.0)
    yield Undone(FAHRENHEIT, "start_temperature_C", replace(run, start_temperature_C=start), 2.0)


def _swapped_digits(
    run: RunReadings, step: float, on_marks: bool, scales: dict[str, Scale]
) -> Iterator[Undone]:
    """Two neighbouring digits exchanged, in the way the readings are written: g, cm, turns, as read."""
    decimals = max(0, len(f"{step:.6f}".rstrip("0").partition(".")[2])) if step > 0.0 else 1
    for field, scale in scales.items():
        shown = scale.shown(getattr(run, field))
        if not 0.0 < abs(shown) < 1e6:
            continue
        for other in with_digits_exchanged(shown, decimals):
            if not (on_marks and off_mark(other, step)):
                yield from _with_digits(run, field, scale.celsius(other))
    for field, factor in (("inversions", 1.0), ("tube_length_m", 1e2), ("shot_mass_kg", 1e3)):
        written = getattr(run, field) * factor
        if 0.0 < abs(written) < 1e6:
            for other in with_digits_exchanged(written, 0):
                yield from _with_digits(run, field, other / factor)


def _with_digits(run: RunReadings, field: str, corrected: float) -> Iterator[Undone]:
    if corrected != getattr(run, field):
        change: dict[str, Any] = {field: corrected}
        yield Undone(DIGITS_SWAPPED, field, replace(run, **change), SEARCH_COST)


def with_digits_exchanged(number: float, digits: int) -> Iterator[float]:
    """The numbers that `number`, written with this many decimals (more if it has them), could have been."""
    text = f"{round(number, 6):.{digits}f}"
    if abs(float(text) - number) > 1e-6 * max(1.0, abs(number)):
        text = f"{round(number, 6):.6f}".rstrip("0")
    # A zero in front was not kept when the number was read: 05 turns are 5 turns.
    text = "0" + text if number > 0.0 else text
    places = [i for i, sign in enumerate(text) if sign.isdigit()]
    for i, j in pairwise(places):
        if text[i] != text[j]:
            signs = list(text)
            signs[i], signs[j] = signs[j], signs[i]
            yield float("".join(signs))
