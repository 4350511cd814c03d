"""What is odd about a run's inputs, held against what its own bench was planned and seen to do.

A reading is held against the bench's plan; without one, or where the bench does not keep it, against the
bench's other runs, as far as these agree; and only where there are none against the class. It is never odd by
itself: these are the reasons given for a run that is unlike the others by the class's fit.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from app.analysis import columns
from app.analysis.columns import Columns, Flags, medians
from app.analysis.doubt.impossible import impossible_runs
from app.analysis.doubt.thermometer_marks import between_marks, marks_sentence
from app.analysis.doubt.usual import (
    BENCH,
    CLASS,
    MEASURES,
    PLAN,
    Usual,
    of_bench,
    of_class,
    of_plan,
    scatter_within,
    scattered,
)
from app.analysis.fit.class_fit import FEWEST_BENCHES
from app.analysis.results import Flag
from app.physics.rounding import short
from app.words import N_, Message

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


class Inputs:
    """The inputs of a class's runs, ready to be asked about one of them.

    `impossible` are the reasons for readings that no tube and no class can have given, by run.
    """

    def __init__(self, cols: Columns) -> None:
        self._cols = cols
        self.impossible = impossible_runs(cols)
        possible = np.ones(len(cols.runs), dtype=np.bool_)
        possible[list(self.impossible)] = False
        self._usable: Flags = cols.counted & possible

    @cached_property
    def _of_benches(self) -> tuple[list[float], ...]:
        """For each measure, and for the allowance, each bench's median; run by run below three benches."""
        rows = self._cols.table[[*(measure.row for measure in MEASURES), columns.ALLOWANCE]][:, self._usable]
        bench = self._cols.bench_of[self._usable]
        if len(np.unique(bench)) >= FEWEST_BENCHES:
            return tuple(medians(row, bench).tolist() for row in rows)
        return tuple(row.tolist() for row in rows)

    @cached_property
    def _of_class(self) -> tuple[Usual, ...]:
        """The class's median of each measure; none where no run is counted and possible."""
        if not self._usable.any():
            return ()
        return tuple(
            of_class(measure, readings) for measure, readings in zip(MEASURES, self._of_benches, strict=False)
        )

    @cached_property
    def _within_benches(self) -> dict[str, float]:
        """For each measure on a ratio scale how far a bench's runs differ in this class (relative)."""
        bench = self._cols.bench_of[self._usable]
        rows = {
            measure.name: self._cols.table[measure.row][self._usable] for measure in MEASURES if measure.ratio
        }
        return {
            name: scatter_within([row[bench == one] for one in np.unique(bench)])
            for name, row in rows.items()
        }

    def usual(self, i: int) -> tuple[Usual, ...]:
        """What each measure of the run at this position is held against."""
        return tuple(self._its_own(i, usual_in_class) for usual_in_class in self._of_class)

    def _its_own(self, i: int, usual_in_class: Usual) -> Usual:
        measure = usual_in_class.measure
        if measure.planned is None:
            return usual_in_class
        readings = self._cols.table[measure.row]
        # Runs with the same reading do not say that it is usual: a whole bench can count every other turn.
        others = readings[self._others(i) & (readings != readings[i])]
        tells = len(others) >= 2  # of two runs nobody knows which is unusual
        planned = getattr(self._cols.runs[i], measure.planned)
        if planned is not None and planned > 0.0:
            plan = of_plan(measure, float(planned))
            if not (tells and scattered(others) and all(map(plan.is_far, others.tolist()))):
                return plan
        return of_bench(measure, others, self._within_benches[measure.name]) if tells else usual_in_class

    def _others(self, i: int) -> Flags:
        """The other runs of the bench that are counted and possible."""
        others: Flags = self._usable & (self._cols.bench_of == self._cols.bench_of[i])
        others[i] = False
        return others

    def usual_allowance(self, i: int) -> float | None:
        """What this bench's other runs take off the length, else what most benches do; None where they
        do not."""
        own = self._cols.allowance[self._others(i)]
        if len(own) and (own > 0.0).all():
            return float(np.median(own))
        allowances = self._of_benches[-1]
        # Most benches take one: our own choice.
        if not allowances or sum(one > 0.0 for one in allowances) < 0.7 * len(allowances):
            return None
        usual = float(np.median(allowances))
        return usual if usual > 0.0 else None

    @cached_property
    def _off_marks(self) -> Flags:
        """Runs with a temperature between two marks of the thermometer."""
        return between_marks(self._cols)

    @cached_property
    def on_marks(self) -> bool:
        """Whether nearly all temperatures of the class lie on a mark of its thermometers."""
        off = self._off_marks[self._usable & (self._cols.thermometer_step > 0.0)]
        return len(off) > 0 and float(off.mean()) <= 0.1 + 1.0 / len(
            off
        )  # a tenth and one run: our own choice

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
        step = float(self._cols.thermometer_step[i])
        words = marks_sentence(self._cols.runs[i], step)
        return [Flag("between-thermometer-marks", words, figure=float(self._cols.end[i]), threshold=step)]


def _odd_allowance(reading: float, usual: float) -> Flag:
    words = Message(
        N_("The end allowance, %(reading)s cm, differs from what is usual here (about %(usual)s cm)."),
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
