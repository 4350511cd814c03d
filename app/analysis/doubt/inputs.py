"""What is odd about a run's inputs, held against what its own bench was planned and seen to do.

A reading is held against the bench's plan; without one against the bench's other runs; and only where there
are none against the class. It is never odd by itself: these are the reasons given for a run that is unlike
the others by the class's fit.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import exp, log
from typing import NamedTuple

import numpy as np

from app.analysis import columns
from app.analysis.columns import Columns, Flags
from app.analysis.doubt.impossible import impossible_runs
from app.analysis.doubt.thermometer_marks import between_marks, marks_sentence
from app.analysis.results import ClassSettings, Flag
from app.physics.rounding import short
from app.statistics.robust import MAD_TO_SD, MODIFIED_Z_LIMIT
from app.words import N_, Message

_ROBUST_LIMIT = MODIFIED_Z_LIMIT / MAD_TO_SD  # Iglewicz and Hoaglin (1993)
PLAN, BENCH, CLASS = "plan", "bench", "class"
OF_ITS_OWN = log(1.25)  # our own choice
"""A bench's reading more than a quarter from its plan, or from its other runs, is a reason."""
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
_FAR = {
    ("mass", PLAN): N_("The shot's mass, %(reading)s g, is far from this bench's plan (%(usual)s g)."),
    ("mass", BENCH): N_(
        "The shot's mass, %(reading)s g, is far from this bench's other runs (about %(usual)s g)."
    ),
    ("mass", CLASS): N_(
        "The shot's mass, %(reading)s g, is far from what this class used (about %(usual)s g)."
    ),
    ("length", PLAN): N_("The tube's length, %(reading)s cm, is far from this bench's plan (%(usual)s cm)."),
    ("length", BENCH): N_(
        "The tube's length, %(reading)s cm, is far from this bench's other runs (about %(usual)s cm)."
    ),
    ("length", CLASS): N_(
        "The tube's length, %(reading)s cm, is far from the class's tubes (about %(usual)s cm)."
    ),
    ("inversions", PLAN): N_("A count of %(reading)s is far from this bench's plan (%(usual)s inversions)."),
    ("inversions", BENCH): N_(
        "A count of %(reading)s is far from this bench's other runs (about %(usual)s inversions)."
    ),
    ("inversions", CLASS): N_(
        "A count of %(reading)s is far from what this class did (about %(usual)s inversions)."
    ),
    ("start-temperature", CLASS): N_(
        "The start temperature, %(reading)s °C, is far from the class's own (about %(usual)s °C)."
    ),
}


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


class Inputs:
    """The inputs of a class's runs, ready to be asked about one of them.

    `impossible` are the reasons for readings that no tube and no class can have given, by run.
    """

    def __init__(self, cols: Columns, settings: ClassSettings) -> None:
        self._cols = cols
        self._step = settings.thermometer_step_K
        self.impossible = impossible_runs(cols)
        possible = np.ones(len(cols.runs), dtype=np.bool_)
        possible[list(self.impossible)] = False
        self._taken: Flags = cols.counted & possible

    @cached_property
    def _of_benches(self) -> tuple[list[float], ...]:
        """For each measure, and for the allowance, each bench's median; run by run below three benches."""
        rows = self._cols.table[[*(measure.row for measure in MEASURES), columns.ALLOWANCE]][:, self._taken]
        bench = self._cols.bench_of[self._taken]
        benches = np.unique(bench)
        if len(benches) >= 3:  # our own choice
            return tuple([float(np.median(row[bench == one])) for one in benches] for row in rows)
        return tuple(row.tolist() for row in rows)

    @cached_property
    def _of_class(self) -> tuple[Usual, ...]:
        """The class's median of each measure; none where no run is taken."""
        if not self._taken.any():
            return ()
        found = []
        for measure, readings in zip(MEASURES, self._of_benches, strict=False):
            values = [log(max(reading, 1e-12)) for reading in readings] if measure.ratio else readings
            centre = float(np.median(values))
            mad = float(np.median(np.abs(np.subtract(values, centre))))
            found.append(
                Usual(
                    measure,
                    CLASS,
                    exp(centre) if measure.ratio else centre,
                    min(max(_ROBUST_LIMIT * mad, measure.least), measure.most),
                    max(mad / MAD_TO_SD, LEAST_SPREAD),
                )
            )
        return tuple(found)

    def usual(self, i: int) -> tuple[Usual, ...]:
        """What each measure of the run at this position is held against."""
        return tuple(self._its_own(i, of_class) for of_class in self._of_class)

    def _its_own(self, i: int, of_class: Usual) -> Usual:
        measure = of_class.measure
        if measure.planned is None:
            return of_class
        planned = getattr(self._cols.runs[i], measure.planned)
        if planned is not None and planned > 0.0:
            return Usual(measure, PLAN, float(planned), OF_ITS_OWN, OWN_SPREAD)
        readings = self._cols.table[measure.row]
        # Runs with the same reading do not say that it is usual: a whole bench can count every other turn.
        others = readings[self._others(i) & (readings != readings[i])]
        if len(others) >= 2:  # our own choice: of two runs nobody knows which is unusual
            return Usual(measure, BENCH, float(np.median(others)), OF_ITS_OWN, OWN_SPREAD)
        return of_class

    def _others(self, i: int) -> Flags:
        """The other runs of the bench that are taken."""
        others: Flags = self._taken & (self._cols.bench_of == self._cols.bench_of[i])
        others[i] = False
        return others

    def usual_allowance(self, i: int) -> float | None:
        """What this bench's other runs take off the length, else what most benches do; None where they
        do not."""
        own = self._cols.allowance[self._others(i)]
        if len(own) and (own > 0.0).all():
            return float(np.median(own))
        taken = self._of_benches[-1]
        # Most benches take one: our own choice.
        if not taken or sum(one > 0.0 for one in taken) < 0.7 * len(taken):
            return None
        usual = float(np.median(taken))
        return usual if usual > 0.0 else None

    @cached_property
    def _off_marks(self) -> Flags:
        """Runs with a temperature between two marks of the thermometer."""
        if self._step <= 0.0:
            return np.zeros(len(self._cols.runs), dtype=np.bool_)
        return between_marks(self._cols, self._step)

    @cached_property
    def on_marks(self) -> bool:
        """Whether nearly all temperatures of the class lie on a mark of its thermometers."""
        if self._step <= 0.0 or not self._taken.any():
            return False
        off = self._off_marks[self._taken]
        return float(off.mean()) <= 0.1 + 1.0 / len(off)  # a tenth and one run: our own choice

    def reasons(self, i: int) -> list[Flag]:
        """What is odd about the inputs of the run at this position."""
        found = []
        for usual in self.usual(i):
            reading = float(self._cols.table[usual.measure.row, i])
            if usual.is_far(reading):
                low, high = usual.bounds
                found.append(
                    Flag(
                        f"{usual.measure.name}-far-from-{usual.whose}",
                        _far_words(usual, reading),
                        figure=reading,
                        threshold=high if reading > high else low,
                    )
                )
        return [*found, *self._odd_allowance(i), *self._off_its_marks(i)]

    def forgotten_allowance(self, i: int) -> list[Flag]:
        """A run that takes nothing off the length, where it is usual: the shot itself fills part of the
        tube."""
        usual = self.usual_allowance(i)
        # 5 % of the length: our own choice.
        if usual is None or self._cols.allowance[i] != 0.0 or usual <= 0.05 * self._cols.length[i]:
            return []
        return [_odd_allowance(0.0, usual)]

    def _odd_allowance(self, i: int) -> list[Flag]:
        usual, reading = self.usual_allowance(i), float(self._cols.allowance[i])
        # Thrice, and 5 % of the length: our own choice.
        if usual is None or not reading - usual > max(2.0 * usual, 0.05 * float(self._cols.length[i])):
            return []
        return [_odd_allowance(reading, usual)]

    def _off_its_marks(self, i: int) -> list[Flag]:
        if not (self.on_marks and self._off_marks[i]):
            return []
        words = marks_sentence(self._cols.runs[i], self._step)
        return [
            Flag("between-thermometer-marks", words, figure=float(self._cols.end[i]), threshold=self._step)
        ]


def _odd_allowance(reading: float, usual: float) -> Flag:
    words = Message(
        N_("The end allowance, %(reading)s cm, differs from the class's (about %(usual)s cm)."),
        {"reading": short(reading * 100), "usual": short(usual * 100)},
    )
    return Flag("end-allowance-far-from-class", words, figure=reading, threshold=usual)


def _far_words(usual: Usual, reading: float) -> Message:
    measure = usual.measure
    return Message(
        _FAR[measure.name, usual.whose],
        {
            "reading": short(reading * measure.per_shown, measure.digits),
            "usual": short(usual.value * measure.per_shown, measure.digits),
        },
    )
