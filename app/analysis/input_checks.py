"""Readings that cannot be, or that are far from the class's own, whether c* shows it or not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

import numpy as np

from app.analysis import columns
from app.analysis.columns import (
    Columns,
    Flags,
    Floats,
    groups_present,
    medians_by_group,
    row_medians,
)
from app.analysis.impossible import impossible_runs
from app.analysis.numbers import short
from app.analysis.results import ClassSettings, Flag
from app.statistics.outliers import median
from app.words import N_, Message

FEWEST_RUNS = 5
"""With fewer counted runs nothing is compared: the runs are reported, only the impossible is flagged."""
LEAST_RELATIVE_SPREAD = 0.01
_ROBUST_LIMIT = 3.5 * 1.4826


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


MASS = Measure("mass", True, log(3.0), log(6.0))
LENGTH = Measure("length", True, log(1.5), log(2.0))
INVERSIONS = Measure("inversions", True, log(1.8), log(3.0))
START = Measure("start-temperature", False, 10.0, 20.0)


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
    `on_marks`: nearly all temperatures lie on the marks of the thermometer.
    """

    sane: Flags
    flags: dict[int, list[Flag]]
    middles: dict[str, Middle]
    allowance: float | None
    on_marks: bool


def check_inputs(cols: Columns, settings: ClassSettings) -> InputChecks:
    """Checks every run; compares with the counted ones, bench by bench, where there are five or more."""
    flags: dict[int, list[Flag]] = {}
    impossible = impossible_runs(cols, flags)
    use = cols.counted & ~impossible
    count = int(np.count_nonzero(use))
    if not count:
        return InputChecks(~impossible, flags, {}, None, False)
    group, counts = groups_present(cols.bench_of[use], len(cols.benches))
    compared = cols.table[_COMPARED]
    by_bench = compared[:, use]
    if len(counts) >= 3:  # with fewer benches runs are compared, not benches
        by_bench = medians_by_group(by_bench, group, counts)
    taken = by_bench[4]
    allowance: float | None = median(taken)
    if not allowance or allowance < 0.0 or np.count_nonzero(taken > 0.0) < 0.7 * len(taken):
        allowance = None
    middles = _middles(by_bench[:4])
    if count < FEWEST_RUNS:
        return InputChecks(~impossible, flags, middles, allowance, False)
    odd = impossible | _far(list(middles.values()), compared[:4], impossible, flags)
    odd |= _allowance(cols, allowance, impossible, flags)
    on_marks = _off_step(cols, settings.thermometer_step_K, use, flags)
    return InputChecks(~odd, flags, middles, allowance, on_marks)


_COMPARED = [columns.MASS, columns.LENGTH, columns.INVERSIONS, columns.START, columns.ALLOWANCE]
_MEASURES = (MASS, LENGTH, INVERSIONS, START)


def _middles(by_bench: Floats) -> dict[str, Middle]:
    """The class's middle of mass, length, inversions (as ratios) and start temperature."""
    values = by_bench.copy()
    values[:3] = np.log(np.maximum(values[:3], 1e-12))
    centres = row_medians(values)
    mads = row_medians(np.abs(values - centres[:, None])).tolist()
    return {
        measure.name: Middle(
            measure,
            exp(centre) if measure.ratio else centre,
            min(max(_ROBUST_LIMIT * mad, measure.least), measure.most),
            max(1.4826 * mad, LEAST_RELATIVE_SPREAD),
        )
        for measure, centre, mad in zip(_MEASURES, centres.tolist(), mads, strict=True)
    }


def _far(middles: list[Middle], rows: Floats, impossible: Flags, flags: dict[int, list[Flag]]) -> Flags:
    """Flags readings outside the class's bounds; `rows` in the order of `middles`."""
    bounds = np.array([middle.bounds for middle in middles])
    far: Flags = ((rows < bounds[:, :1]) | (rows > bounds[:, 1:])) & ~impossible
    if not far.any():
        nowhere: Flags = far[0]
        return nowhere
    for row, i in zip(*(place.tolist() for place in np.nonzero(far)), strict=True):
        middle, reading = middles[row], float(rows[row, i])
        low, high = middle.bounds
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
    "mass": _far_message(
        N_("The shot's mass, %(reading)s g, is far from what this class used (about %(usual)s g)."), 1e3, 3
    ),
    "length": _far_message(
        N_("The tube's length, %(reading)s cm, is far from the class's tubes (about %(usual)s cm)."), 1e2, 3
    ),
    "inversions": _far_message(
        N_("%(reading)s inversions is far from what this class did (about %(usual)s)."), 1.0, 4
    ),
    "start-temperature": _far_message(
        N_("The start temperature, %(reading)s °C, is far from the class's own (about %(usual)s °C)."), 1.0, 3
    ),
}


def _allowance(
    cols: Columns, allowance: float | None, impossible: Flags, flags: dict[int, list[Flag]]
) -> Flags:
    """Runs without an end allowance, or with a very different one, where the class took one off."""
    if allowance is None:
        return np.zeros(len(cols.runs), dtype=np.bool_)
    off = np.abs(cols.allowance - allowance)
    odd: Flags = (
        ((cols.allowance == 0.0) | (off > 2.0 * allowance)) & (off > 0.05 * cols.length) & ~impossible
    )
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


def off_marks(temperature: Floats, step: float) -> Flags:
    """Whether a temperature lies between two marks of a thermometer with this step (> 0)."""
    marks = temperature / step
    off: Flags = np.abs(marks - np.rint(marks)) > 0.02
    return off


def _off_step(cols: Columns, step: float, use: Flags, flags: dict[int, list[Flag]]) -> bool:
    """Flags temperatures between two marks where nearly all others lie on one, and says whether they do."""
    if step <= 0.0:
        return False
    off = np.logical_or(*off_marks(cols.table[columns.START : columns.END + 1], step))
    if not off.any():
        return True
    if float(off[use].mean()) > 0.1 + 1.0 / len(off):
        return False
    for i in np.flatnonzero(off):
        flags.setdefault(int(i), []).append(
            Flag(
                "between-thermometer-marks",
                Message(
                    N_(
                        "%(start)s °C and %(end)s °C: this class's thermometers read in steps of %(step)s "
                        "°C, so one of these cannot have been read off."
                    ),
                    {
                        "start": f"{cols.runs[i].start_temperature_C:.6g}",
                        "end": f"{cols.runs[i].end_temperature_C:.6g}",
                        "step": short(step),
                    },
                ),
                figure=float(cols.end[i]),
                threshold=step,
            )
        )
    return True
