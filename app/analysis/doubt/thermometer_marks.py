"""Whether a temperature lies on a mark of the thermometer that was read.

The step of a thermometer is a number of the unit that was read: one that shows tenths shows 21.9 °C or
71.4 °F, and 71.4 °F, which is 21.888… °C, lies on a mark. A converted °C reading that lies on a mark of °C
lies on a mark too. Where nobody knows the unit, as in a run table, a mark of °C or of °F will do.
"""

from __future__ import annotations

from math import isfinite, remainder

import numpy as np

from app.analysis import columns
from app.analysis.columns import Columns, Flags
from app.analysis.readings import RunReadings
from app.physics.reading.units import SCALES, Scale
from app.physics.rounding import short
from app.words import N_, Message

_OFF_MARK = 0.02
"""A reading further from a mark than this share of a step is between marks (our own choice): with steps
of 0.1, rounding to thousandths moves a converted reading by less, and half a step is far more."""


_WHERE_UNKNOWN = SCALES["°F"]


def off_mark(shown: float, step: float) -> bool:
    """Whether a number that a thermometer shows lies between two of its marks; a step of 0 has none."""
    return step > 0.0 and isfinite(shown) and abs(remainder(shown, step)) > _OFF_MARK * step


def between_marks(cols: Columns) -> Flags:
    """For each run, whether its start or its end lies between two marks of its own thermometer."""
    steps = cols.thermometer_step
    marks = cols.table[columns.START : columns.END + 1] / np.where(steps > 0.0, steps, 1.0)
    off = (np.abs(marks - np.rint(marks)) > _OFF_MARK) & (steps > 0.0)
    either: Flags = np.logical_or(*off)
    for i in np.flatnonzero(either).tolist():
        either[i] = any(
            off_in_C and _off_its_scale(reading, unit, float(steps[i]))
            for off_in_C, (reading, unit) in zip(off[:, i].tolist(), _readings(cols.runs[i]), strict=True)
        )
    return either


def _off_its_scale(celsius: float, unit: str, step: float) -> bool:
    scale = SCALES.get(unit, _WHERE_UNKNOWN)
    return off_mark(scale.shown(celsius), step)


def _readings(run: RunReadings) -> tuple[tuple[float, str], tuple[float, str]]:
    return (run.start_temperature_C, run.start_read_in), (run.end_temperature_C, run.end_read_in)


def marks_sentence(run: RunReadings, step: float) -> Message:
    """That one of the two temperatures of this run cannot have been read off."""
    start, end = (as_shown(celsius, SCALES.get(unit, SCALES["°C"])) for celsius, unit in _readings(run))
    unit = next(
        (unit for celsius, unit in _readings(run) if unit and _off_its_scale(celsius, unit, step)), "°C"
    )
    sentence = N_(
        "%(start)s and %(end)s: this bench's thermometer reads in steps of %(step)s, "
        "so one of these cannot have been read off."
    )
    return Message(sentence, {"start": start, "end": end, "step": f"{short(step)} {unit}"})


def as_shown(celsius: float, scale: Scale) -> str:
    """A temperature as a thermometer with this scale shows it, with the unit."""
    return f"{short(scale.shown(celsius), 6)} {scale.unit}"
