"""Readings that cannot be, or that are far from the class's own, whether c* shows it or not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

import numpy as np

from app.analysis import columns
from app.analysis.columns import Columns, Flags, Floats, groups_present
from app.analysis.doubt.as_planned import as_planned
from app.analysis.doubt.impossible import impossible_runs
from app.analysis.doubt.thermometer_marks import flag_between_marks
from app.analysis.results import ClassSettings, Flag
from app.physics.rounding import short
from app.statistics.medians import median, medians_by_group
from app.statistics.outliers import MAD_TO_SD, MODIFIED_Z_LIMIT
from app.words import N_, Message

FEWEST_RUNS = 5
"""With fewer counted runs nothing is compared: the runs are reported, only the impossible is flagged (our own
choice)."""
LEAST_RELATIVE_SPREAD = 0.01  # what counts and masses are read to (our own choice)
_ROBUST_LIMIT = MODIFIED_Z_LIMIT / MAD_TO_SD  # Iglewicz and Hoaglin (1993)


@dataclass(frozen=True, slots=True)
class Measure:
    """How one column is compared: on a ratio scale (a factor) or, for temperatures, by difference.

    A reading is far if it differs from the class's median by more than 3.5 robust standard
    deviations, but at least by `least` and at most by `most` (log factors or kelvins).
    """

    name: str
    ratio: bool
    least: float
    most: float


MASS = Measure("mass", True, log(3.0), log(6.0))  # planned masses differ about fourfold (our own choice)
LENGTH = Measure("length", True, log(1.5), log(2.0))  # below the factor of an inch (our own choice)
INVERSIONS = Measure("inversions", True, log(1.8), log(3.0))  # below a doubled count (our own choice)
START = Measure("start-temperature", False, 10.0, 20.0)  # no room differs by more (our own choice)


@dataclass(frozen=True, slots=True)
class Middle:
    """The class's median of one column and how far a reading may be from it."""

    measure: Measure
    value: float
    limit: float
    spread: float

    def distance(self, reading: float) -> float:
        """|log(reading/median)| or |reading − median|, in units of the limit."""
        if not self.measure.ratio:
            return abs(reading - self.value) / self.limit
        return abs(log(max(reading, 1e-12) / self.value)) / self.limit if self.value > 0 else 0.0

    def surprise(self, reading: float) -> float:
        """Squared distance from the median in robust standard deviations (at least 1 %), for a ratio."""
        if self.value <= 0:
            return 0.0
        return (log(max(reading, 1e-12) / self.value) / self.spread) ** 2

    @property
    def bounds(self) -> tuple[float, float]:
        if self.measure.ratio:
            return self.value * exp(-self.limit), self.value * exp(self.limit)
        return self.value - self.limit, self.value + self.limit


@dataclass(frozen=True, slots=True)
class InputChecks:
    """`sane` runs passed every check; `flags` has the reasons by run; `middles` what was compared with.

    `allowance` is what the class usually takes off, in metres (None where it varies or is nothing).
    `on_marks`: nearly all temperatures lie on the marks of the thermometer. `bench_slope` is each bench's
    median warming per energy where every run is counted and sane, worked out on the way (else None).
    """

    sane: Flags
    flags: dict[int, list[Flag]]
    middles: dict[str, Middle]
    allowance: float | None
    on_marks: bool
    bench_slope: Floats | None = None


def check_inputs(cols: Columns, settings: ClassSettings) -> InputChecks:
    """Checks every run; compares with the counted ones, bench by bench, where there are five or more."""
    flags: dict[int, list[Flag]] = {}
    n = len(cols.runs)
    if not n:
        return InputChecks(np.zeros(0, dtype=np.bool_), flags, {}, None, False)
    extremes = cols.table.min(axis=1).tolist(), cols.table.max(axis=1).tolist()
    impossible = impossible_runs(cols, flags, *extremes)
    whole_class = impossible is None and cols.taken.all_of_them
    use = cols.counted if impossible is None else cols.counted & ~impossible
    count = n if whole_class else int(np.count_nonzero(use))
    sane = np.ones(n, dtype=np.bool_) if impossible is None else ~impossible
    if not count:
        return InputChecks(sane, flags, {}, None, False)
    compared = np.empty((6, n))
    compared[:5] = cols.table[_COMPARED]
    compared[5] = cols.warming / cols.energy
    by_bench = compared if whole_class else compared[:, use]
    group, counts = groups_present(cols.bench_of if whole_class else cols.bench_of[use], len(cols.benches))
    if len(counts) >= 3:  # with fewer, runs are compared: our own choice
        by_bench = np.array([medians_by_group(row, group, counts) for row in by_bench])
    *readings, taken, _ = by_bench.tolist()
    allowance: float | None = median(taken)
    # Most benches take one: our own choice.
    if not allowance or allowance < 0.0 or sum(one > 0.0 for one in taken) < 0.7 * len(taken):
        allowance = None
    middles = _middles(readings)
    if count < FEWEST_RUNS:
        return InputChecks(sane, flags, middles, allowance, False)
    far = _far(cols, list(middles.values()), compared[:4], sane, flags, *extremes)
    odd = _allowance(cols, allowance, sane, flags, *extremes)
    on_marks = flag_between_marks(cols, settings.thermometer_step_K, use, flags)
    if far is None and odd is None:
        bench_slope = by_bench[5] if whole_class and len(counts) >= 3 else None  # as above: our own choice
        return InputChecks(sane, flags, middles, allowance, on_marks, bench_slope)
    for some in (far, odd):
        if some is not None:
            sane = sane & ~some
    return InputChecks(sane, flags, middles, allowance, on_marks)


_COMPARED = [columns.MASS, columns.LENGTH, columns.INVERSIONS, columns.START, columns.ALLOWANCE]
_MEASURES = (MASS, LENGTH, INVERSIONS, START)


def _middles(by_bench: list[list[float]]) -> dict[str, Middle]:
    """The class's middle of mass, length, inversions (as ratios) and start temperature."""
    middles: dict[str, Middle] = {}
    for measure, readings in zip(_MEASURES, by_bench, strict=True):
        values = [log(max(reading, 1e-12)) for reading in readings] if measure.ratio else readings
        centre = median(values)
        mad = median([abs(value - centre) for value in values])
        middles[measure.name] = Middle(
            measure,
            exp(centre) if measure.ratio else centre,
            min(max(_ROBUST_LIMIT * mad, measure.least), measure.most),
            max(mad / MAD_TO_SD, LEAST_RELATIVE_SPREAD),
        )
    return middles


def _far(
    cols: Columns,
    middles: list[Middle],
    rows: Floats,
    sane: Flags,
    flags: dict[int, list[Flag]],
    least: list[float],
    greatest: list[float],
) -> Flags | None:
    """Flags readings outside the class's bounds; `rows` in the order of `middles`. None where there is none.

    `least` and `greatest` reading of each row of the table show at once that a class has none.
    """
    bounds = [middle.bounds for middle in middles]
    if all(
        low <= least[row] and greatest[row] <= high
        for row, (low, high) in zip(_COMPARED[:4], bounds, strict=True)
    ):
        return None
    limits = np.array(bounds)
    far: Flags = ((rows < limits[:, :1]) | (rows > limits[:, 1:])) & sane
    if far.any():
        far &= ~as_planned(cols, rows)
    if not far.any():
        return None
    for row, i in zip(*(place.tolist() for place in np.nonzero(far)), strict=True):
        middle, reading = middles[row], float(rows[row, i])
        low, high = bounds[row]
        flags.setdefault(i, []).append(
            Flag(
                f"{middle.measure.name}-far-from-class",
                _FAR[middle.measure.name](reading, middle.value),
                figure=reading,
                threshold=high if reading > high else low,
            )
        )
    return np.asarray(far.any(axis=0))


def _far_message(template: str, factor: float, digits: int) -> Callable[[float, float], Message]:
    def message(reading: float, usual: float) -> Message:
        return Message(
            template, {"reading": short(reading * factor, digits), "usual": short(usual * factor, digits)}
        )

    return message


_FAR: dict[str, Callable[[float, float], Message]] = {
    "mass": _far_message(  # kg in g, SI Brochure
        N_("The shot's mass, %(reading)s g, is far from what this class used (about %(usual)s g)."), 1e3, 3
    ),
    "length": _far_message(  # m in cm, SI Brochure
        N_("The tube's length, %(reading)s cm, is far from the class's tubes (about %(usual)s cm)."), 1e2, 3
    ),
    "inversions": _far_message(  # digits: our own choice
        N_("A count of %(reading)s is far from what this class did (about %(usual)s inversions)."), 1.0, 4
    ),
    "start-temperature": _far_message(  # digits: our own choice
        N_("The start temperature, %(reading)s °C, is far from the class's own (about %(usual)s °C)."), 1.0, 3
    ),
}


def _allowance(
    cols: Columns,
    allowance: float | None,
    sane: Flags,
    flags: dict[int, list[Flag]],
    least: list[float],
    greatest: list[float],
) -> Flags | None:
    """Runs without an end allowance, or with a very different one, where the class took one off."""
    if allowance is None or (
        least[columns.ALLOWANCE] > 0.0 and greatest[columns.ALLOWANCE] <= 3.0 * allowance  # our own choice
    ):
        return None
    off = np.abs(cols.allowance - allowance)
    # Thrice, and 5 % of the length: our own choice.
    odd: Flags = ((cols.allowance == 0.0) | (off > 2.0 * allowance)) & (off > 0.05 * cols.length) & sane
    if not odd.any():
        return None
    for i in np.flatnonzero(odd):
        reading = float(cols.allowance[i])
        flags.setdefault(int(i), []).append(
            Flag(
                "end-allowance-far-from-class",
                Message(
                    N_("The end allowance, %(reading)s cm, differs from the class's (about %(usual)s cm)."),
                    {"reading": short(reading * 100), "usual": short(allowance * 100)},
                ),
                figure=reading,
                threshold=allowance,
            )
        )
    return odd
