"""What a reading is held against: the bench's plan, the bench's other runs, or the class."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log
from typing import NamedTuple

import numpy as np

from app.analysis import columns
from app.statistics.domain import Floats
from app.statistics.robust import MAD_TO_SD, MODIFIED_Z_LIMIT

ROBUST_LIMIT = MODIFIED_Z_LIMIT / MAD_TO_SD  # Iglewicz and Hoaglin (1993)
PLAN, BENCH, CLASS = "plan", "bench", "class"
OF_ITS_OWN = log(1.25)  # our own choice
"""A bench's reading more than a quarter from its plan, or from its other runs where these agree, is a
reason."""
OWN_SPREAD = 0.02  # our own choice
"""Relative: how near a bench comes to its plan, or repeats itself."""
LEAST_SPREAD = 0.01  # what counts and masses are read to (our own choice)


@dataclass(frozen=True, slots=True)
class Measure:
    """How a reading is compared: on a ratio scale (a factor) or, for temperatures, by difference.

    Against the class it is far if it differs from the median by more than 3.5 robust standard deviations, but
    at least by `least` and at most by `most` (log factors or kelvins).
    """

    name: str
    row: int
    planned: str | None
    least: float
    most: float
    per_shown: float
    digits: int

    @property
    def ratio(self) -> bool:
        return self.name != "start-temperature"


MEASURES = (
    # Planned masses differ about fourfold: our own choice. kg in g, SI Brochure.
    Measure("mass", columns.MASS, "planned_shot_mass_kg", log(3.0), log(6.0), 1e3, 3),
    # Below the factor of an inch: our own choice. m in cm, SI Brochure.
    Measure("length", columns.LENGTH, "planned_tube_length_m", log(1.5), log(2.0), 1e2, 3),
    # Below a doubled count: our own choice.
    Measure("inversions", columns.INVERSIONS, "planned_inversions", log(1.8), log(3.0), 1.0, 4),
    # No room differs by more: our own choice.
    Measure("start-temperature", columns.START, None, 10.0, 20.0, 1.0, 3),
)


class Usual(NamedTuple):
    """What a reading is held against: whose it is, its value, and how far from it a reading may be."""

    measure: Measure
    whose: str
    value: float
    limit: float
    spread: float

    def away(self, reading: float) -> float:
        """log(reading/usual), or reading − usual."""
        if not self.measure.ratio:
            return reading - self.value
        return log(max(reading, 1e-12) / self.value) if self.value > 0.0 else 0.0

    def is_far(self, reading: float) -> bool:
        return abs(self.away(reading)) > self.limit

    def surprise(self, reading: float) -> float:
        """The squared distance in units of the spread."""
        return (self.away(reading) / self.spread) ** 2

    @property
    def bounds(self) -> tuple[float, float]:
        if self.measure.ratio:
            return self.value * exp(-self.limit), self.value * exp(self.limit)
        return self.value - self.limit, self.value + self.limit


def of_plan(measure: Measure, planned: float) -> Usual:
    """What the bench was planned to do."""
    return Usual(measure, PLAN, planned, OF_ITS_OWN, OWN_SPREAD)


def of_bench(measure: Measure, others: Floats, within_benches: float) -> Usual:
    """What the bench's other runs say: their median. The limit is wider where they differ, and where the runs
    of this class's benches do (`scatter_within`): two that agree are then an accident."""
    value = float(np.median(others))
    mad = float(np.median(np.abs(_log(others) - log(max(value, 1e-12)))))
    few = 1.0 + 2.0 / len(others)  # two or three say little about their scatter: our own choice
    limit = max(few * ROBUST_LIMIT * mad, MODIFIED_Z_LIMIT * within_benches, OF_ITS_OWN)
    spread = max(mad / MAD_TO_SD, within_benches, OWN_SPREAD)
    return Usual(measure, BENCH, value, min(limit, measure.most), spread)


def of_class(measure: Measure, readings: list[float]) -> Usual:
    """What the class did: the median of its benches' readings."""
    values = [log(max(reading, 1e-12)) for reading in readings] if measure.ratio else readings
    centre = float(np.median(values))
    mad = float(np.median(np.abs(np.subtract(values, centre))))
    return Usual(
        measure,
        CLASS,
        exp(centre) if measure.ratio else centre,
        min(max(ROBUST_LIMIT * mad, measure.least), measure.most),
        max(mad / MAD_TO_SD, LEAST_SPREAD),
    )


def scattered(readings: Floats) -> bool:
    """Whether a bench's runs differ from one another so much that it has no reading of its own."""
    return float(np.ptp(_log(readings))) > OF_ITS_OWN


def scatter_within(of_benches: list[Floats]) -> float:
    """The usual relative standard deviation of a reading within a bench: the median over the benches."""
    sds = [float(np.std(_log(readings), ddof=1)) for readings in of_benches if len(readings) >= 2]
    return float(np.median(sds)) if sds else 0.0


def _log(readings: Floats) -> Floats:
    return np.log(np.maximum(readings, 1e-12))
