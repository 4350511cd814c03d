"""Readings that cannot be, or that are far from the class's own, whether c* shows it or not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

import numpy as np

from app.analysis.columns import LARGEST_READING, Columns, Flags, Floats, median_by_bench
from app.analysis.numbers import short, whole
from app.analysis.results import ClassSettings, Flag
from app.statistics.outliers import median
from app.words import N_, Message

FEWEST_RUNS = 5
"""With fewer counted runs nothing is compared: the runs are reported, only the impossible is flagged."""
LEAST_RELATIVE_SPREAD = 0.01
SHORTEST_TUBE_M, LONGEST_TUBE_M = 0.05, 4.0
WARMEST_START_C = 50.0
"""Shot starts near or below room temperature; a start above this is no °C reading of it."""
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


def _middle(measure: Measure, by_bench: Floats) -> Middle:
    values = np.log(np.maximum(by_bench, 1e-12)) if measure.ratio else by_bench
    centre = median(values)
    mad = median(np.abs(values - centre))
    limit = min(max(_ROBUST_LIMIT * mad, measure.least), measure.most)
    return Middle(
        measure, exp(centre) if measure.ratio else centre, limit, max(1.4826 * mad, LEAST_RELATIVE_SPREAD)
    )


def check_inputs(cols: Columns, settings: ClassSettings) -> InputChecks:
    """Checks every run; compares with the counted ones, bench by bench, where there are five or more."""
    flags: dict[int, list[Flag]] = {}
    impossible = _impossible(cols, flags)
    use = cols.counted & ~impossible
    count = int(use.sum())
    middles: dict[str, Middle] = {}
    odd = impossible
    allowance, on_marks = None, False
    if count:
        bench = np.unique(cols.bench_of[use], return_inverse=True)[1]
        benches = int(bench.max()) + 1
        if benches < 3:  # too few benches to compare benches: compare runs
            bench, benches = np.arange(count), count

        def typical(values: Floats) -> Floats:
            return median_by_bench(values[use], bench, benches)

        lengths, turns, taken = typical(cols.length), typical(cols.inversions), typical(cols.allowance)
        allowance = median(taken)
        if allowance <= 0.0 or float((taken > 0.0).mean()) < 0.7:
            allowance = None
        for measure, values, by_bench in (
            (MASS, cols.mass, typical(cols.mass)),
            (LENGTH, cols.length, lengths),
            (INVERSIONS, cols.inversions, turns),
            (START, cols.start, typical(cols.start)),
        ):
            middle = _middle(measure, by_bench)
            middles[measure.name] = middle
            if count >= FEWEST_RUNS:
                odd = odd | _far(middle, values, impossible, flags)
        if count >= FEWEST_RUNS:
            odd = odd | _allowance(cols, allowance, impossible, flags)
            on_marks = _off_step(cols, settings.thermometer_step_K, use, flags)
    return InputChecks(~odd, flags, middles, allowance, on_marks)


def _far(middle: Middle, values: Floats, impossible: Flags, flags: dict[int, list[Flag]]) -> Flags:
    low, high = middle.bounds
    far = ((values < low) | (values > high)) & ~impossible
    if far.any():
        for i in np.flatnonzero(far):
            reading = float(values[i])
            flags.setdefault(int(i), []).append(
                Flag(
                    f"{middle.measure.name}-far-from-class",
                    _FAR[middle.measure.name](reading, middle.value),
                    figure=reading,
                    threshold=high if reading > high else low,
                )
            )
    return far


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
    off = off_marks(cols.start, step) | off_marks(cols.end, step)
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
                        "%(start)s °C and %(end)s °C: this class's thermometers read in steps of "
                        "%(step)s °C, "
                        "so one of these cannot have been read off."
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


def _impossible(cols: Columns, flags: dict[int, list[Flag]]) -> Flags:
    """Runs with a reading that no tube and no class can have given."""
    mass = (cols.mass < 0.001) | (cols.mass > 50.0)
    length = (cols.length < SHORTEST_TUBE_M) | (cols.length > LONGEST_TUBE_M)
    allowance = (cols.allowance < 0.0) | (cols.fall <= 0.0)
    turns = (
        (cols.inversions < 1.0) | (cols.inversions > 5000.0) | (cols.inversions != np.rint(cols.inversions))
    )
    coldest, hottest = np.minimum(cols.start, cols.end), np.maximum(cols.start, cols.end)
    temperature = (coldest < -40.0) | (hottest > 120.0) | (cols.start > WARMEST_START_C)
    any_of: Flags = mass | length | allowance | turns | temperature
    if any_of.any():
        for i in np.flatnonzero(any_of):
            run = cols.runs[i]
            reasons = flags.setdefault(int(i), [])
            if mass[i]:
                reasons.append(_cannot_be(
                    "mass-impossible", N_("%(reading)s g of shot cannot be: check the mass and its unit."),
                    run.shot_mass_kg * 1e3))  # fmt: skip
            if length[i]:
                reasons.append(_cannot_be(
                    "length-impossible",
                    N_("A tube of %(reading)s cm cannot be: check the length and its unit."),
                    run.tube_length_m * 1e2))  # fmt: skip
            if allowance[i] and not length[i]:
                reasons.append(_cannot_be(
                    "end-allowance-impossible",
                    N_("An end allowance of %(reading)s cm leaves no fall in this tube."),
                    run.end_allowance_m * 1e2))  # fmt: skip
            if turns[i]:
                reasons.append(_cannot_be(
                    "inversions-impossible",
                    N_("%(reading)s inversions cannot be: count whole turns, at least one."),
                    run.inversions))  # fmt: skip
            if temperature[i]:
                reasons.append(_cannot_be(
                    "temperature-impossible",
                    N_("%(reading)s °C cannot be the shot's temperature: check both readings."),
                    max((run.start_temperature_C, run.end_temperature_C), key=abs)))  # fmt: skip
    return any_of


def _cannot_be(rule: str, template: str, reading: float) -> Flag:
    reading = min(max(reading, -LARGEST_READING), LARGEST_READING)
    text = whole(reading) if 1e3 <= abs(reading) < 1e9 else short(reading)
    return Flag(rule, Message(template, {"reading": text}), figure=reading)
