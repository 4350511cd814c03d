"""Known slips of the pen: which one, undone, would bring a flagged run back into the class?

Each known slip is undone in every way it can have happened and the corrected run is scored: its squared
standardized residual from what is typical of the class, plus a cost for each reading that remains
unlike the class's own. A slip is named only where the correction fits, gains much over the readings as
entered, and no rival slip fits as well. Nothing is ever corrected by this.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import isfinite
from typing import Any, NamedTuple

import numpy as np

from app.analysis.columns import FALL, LARGEST_READING, Columns
from app.analysis.doubt.checks import INVERSIONS, LENGTH, MASS, InputChecks
from app.analysis.doubt.exchanged_digits import with_digits_exchanged
from app.analysis.doubt.slip_words import (
    ALLOWANCE_FORGOTTEN,
    DIGITS_SWAPPED,
    FAHRENHEIT,
    INVERSIONS_DOUBLED,
    INVERSIONS_HALVED,
    LENGTH_UNIT,
    MASS_UNIT,
    SENTENCES,
    TEMPERATURES_SWAPPED,
    WARMING_AS_END,
)
from app.analysis.doubt.thermometer_marks import SCALES, Scale, off_mark
from app.analysis.doubt.typical import Typical
from app.analysis.results import RunReadings, SuspectedSlip
from app.physics.limits import SHOT_MASS_KG
from app.physics.rounding import short
from app.physics.run import QUANTITIES, Readings
from app.words import Message

FITS = 12.25
"""Largest cost of a corrected run that is back in the class: as a residual, it would not be flagged: 3.5²,
the modified z-score's limit (Iglewicz and Hoaglin, 1993)."""
GAIN = 14.0
"""Least drop in cost against the readings as entered: a likelihood ratio of exp(14/2), about 1000 (our own
choice, held to at most 0.1 % of clean runs by `tests.benchmarks.calibration`)."""
LEAD = 5.0
"""Least lead over the best rival slip: a likelihood ratio of exp(5/2), about 12 (our own choice)."""
_FAR_COST = 20.0  # more than GAIN: no correction leaves a reading far from the class (our own choice)
_UNUSUAL_COST = 9.0  # at most that of three standard deviations (our own choice)
_IMPOSSIBLE_COST = 1e6  # above every other cost (our own choice)
_SEARCH_COST = 6.0  # 2 ln 20: as for a choice among twenty places to swap digits (our own choice)


class _Try(NamedTuple):
    slip: str
    field: str
    factor: float
    corrected: Readings
    prior: float = 0.0


_MEASURE_OF_FIELD = {"shot_mass_kg": "mass", "tube_length_m": "length", "inversions": "inversions"}
_BY_SI_NAME = {quantity.si_name: quantity for quantity in QUANTITIES.values()}


def suspected_slip(
    at: int, cols: Columns, checks: InputChecks, class_: Typical, gravity: float, step: float
) -> SuspectedSlip | None:
    """The slip that explains the flagged run at this position and no rival does as well; None without one."""
    run = cols.runs[at]
    if not np.abs(cols.table[:FALL, at]).max() < LARGEST_READING:
        return None
    entered = _cost(run, cols, checks, class_, gravity)
    best: dict[str, tuple[float, _Try]] = {}
    confirmed = _repeated_at_its_bench(at, cols, class_)
    scales = _scales(run)
    for attempt in _attempts(run, checks, step, scales):
        if confirmed and attempt.slip == DIGITS_SWAPPED and attempt.field.endswith("_C"):
            continue
        if not _nearer(run, attempt, checks):
            continue
        cost = _cost(attempt.corrected, cols, checks, class_, gravity) + attempt.prior
        if attempt.slip not in best or cost < best[attempt.slip][0]:
            best[attempt.slip] = (cost, attempt)
    if not best:
        return None
    ranked = sorted(best.values(), key=lambda pair: pair[0])
    cost, attempt = ranked[0]
    if entered - cost < GAIN or cost - attempt.prior > FITS:
        # A bench apart from the others may still show its slip, if everything else is far worse.
        # Far beyond LEAD and GAIN: our own choice.
        beyond_doubt = cost <= 2.5 * FITS and entered >= 20.0 * cost
        # An order of magnitude: our own choice.
        if not beyond_doubt or any(rival_cost < 10.0 * cost for rival_cost, _ in ranked[1:]):
            return None
    for rival_cost, rival in ranked[1:]:
        if rival_cost - cost < LEAD and not _same_correction(attempt, rival):
            return None
    return _named(run, attempt, class_, gravity, scales)


def _repeated_at_its_bench(at: int, cols: Columns, class_: Typical) -> bool:
    """Whether another run of the bench is as far from the class and agrees: then the pen did not do it.

    Digits of a temperature change places in one run, not in the same way in the next. Agreement: within
    3.5 standard deviations of the difference of two readings of the warming.
    """
    expected = np.maximum(class_.warming, 1e-9)
    off = cols.warming - cols.warming[at] * expected / expected[at]
    # 3.5 and 3.0 as in `flags`: our own choice.
    agree = (np.abs(off) <= 3.5 * 2**0.5 * cols.u_warming) & (np.abs(class_.score) > 3.0)
    agree &= (cols.bench_of == cols.bench_of[at]) & cols.workable
    agree[at] = False
    return bool(agree.any())


def _same_correction(one: _Try, other: _Try) -> bool:
    """Whether two slips come to the same corrected reading: then they are no rivals."""
    if one.field != other.field:
        return False
    mine, theirs = getattr(one.corrected, one.field), getattr(other.corrected, one.field)
    # Half a percent, below any reading: our own choice.
    return bool(abs(mine - theirs) <= 0.005 * abs(mine))


def _cost(run: Readings, cols: Columns, checks: InputChecks, class_: Typical, gravity: float) -> float:
    """Squared standardized residual plus the cost of readings unlike the class's own."""
    energy = gravity * run.fall_m * run.inversions
    possible = run.shot_mass_kg in SHOT_MASS_KG.flagged_outside and run.end_allowance_m >= 0.0
    if not (possible and 0.0 < energy < 1e9):
        return _IMPOSSIBLE_COST
    expected = class_.expected_warming(energy, run.shot_mass_kg)
    score = (run.warming_K - expected) ** 2 / (cols.u_warming**2 + (class_.technique * expected) ** 2)
    cost = min(score, _IMPOSSIBLE_COST)
    middles = checks.middles
    for name, reading in (
        ("mass", run.shot_mass_kg),
        ("length", run.tube_length_m),
        ("inversions", run.inversions),
        ("start-temperature", run.start_temperature_C),
    ):
        middle = middles.get(name)
        if middle is None:
            continue
        if middle.distance(reading) > 1.0:
            cost += _FAR_COST
        elif middle.measure in (LENGTH, INVERSIONS):
            cost += min(middle.surprise(reading), _UNUSUAL_COST)
    # Half as much again: our own choice.
    if checks.allowance is not None and abs(run.end_allowance_m - checks.allowance) > 0.5 * checks.allowance:
        cost += _FAR_COST
    return cost


def _nearer(run: Readings, attempt: _Try, checks: InputChecks) -> bool:
    """Whether the corrected reading is at home in the class: no slip is undone by leaving it."""
    before, after = getattr(run, attempt.field), getattr(attempt.corrected, attempt.field)
    if attempt.field == "end_allowance_m":
        usual = checks.allowance
        # Within half of the usual: our own choice.
        return usual is not None and abs(after - usual) < min(abs(before - usual), 0.5 * usual)
    middle = checks.middles.get(_MEASURE_OF_FIELD.get(attempt.field, ""))
    if middle is not None and attempt.slip == DIGITS_SWAPPED and middle.measure is MASS:
        # The masses differ by plan: one like the others gives no reason to doubt its digits.
        # Well inside the bound: our own choice.
        return middle.distance(before) > 1.0 and middle.distance(after) <= 0.6
    # Well inside the bound: our own choice.
    return middle is None or middle.distance(after) <= max(0.6, middle.distance(before))


def _scales(run: RunReadings) -> dict[str, Scale]:
    """The scale on which each temperature was read (°C where nobody knows)."""
    return {
        "start_temperature_C": SCALES.get(run.start_read_in, SCALES["°C"]),
        "end_temperature_C": SCALES.get(run.end_read_in, SCALES["°C"]),
    }


def _attempts(run: Readings, checks: InputChecks, step: float, scales: dict[str, Scale]) -> Iterator[_Try]:
    """Every known slip undone, in every way it can have happened."""
    start, end = run.start_temperature_C, run.end_temperature_C
    for factor in (1e3, 1e-3):
        yield _Try(MASS_UNIT, "shot_mass_kg", factor, replace(run, shot_mass_kg=run.shot_mass_kg * factor))
    for factor in (0.1, 100.0, 2.54, 1.0 / 2.54, 0.01):
        length, allowance = run.tube_length_m * factor, run.end_allowance_m * factor
        yield _Try(LENGTH_UNIT, "tube_length_m", factor, replace(run, tube_length_m=length))
        if run.end_allowance_m > 0.0:
            both = replace(run, tube_length_m=length, end_allowance_m=allowance)
            yield _Try(LENGTH_UNIT, "tube_length_m", factor, both)
            yield _Try(LENGTH_UNIT, "end_allowance_m", factor, replace(run, end_allowance_m=allowance))
    doubled = replace(run, inversions=run.inversions * 2.0)
    yield _Try(INVERSIONS_HALVED, "inversions", 2.0, doubled)
    if run.inversions % 2.0 == 0.0:
        halved = replace(run, inversions=run.inversions / 2.0)
        yield _Try(INVERSIONS_DOUBLED, "inversions", 0.5, halved)
    if start > end:
        swapped = replace(run, start_temperature_C=end, end_temperature_C=start)
        yield _Try(TEMPERATURES_SWAPPED, "end_temperature_C", 1.0, swapped)
    if 0.0 < end < start:
        warmed = replace(run, end_temperature_C=start + end)
        yield _Try(WARMING_AS_END, "end_temperature_C", 1.0, warmed)
    yield from _fahrenheit(run)
    if run.end_allowance_m == 0.0 and checks.allowance is not None:
        taken = replace(run, end_allowance_m=checks.allowance)
        yield _Try(ALLOWANCE_FORGOTTEN, "end_allowance_m", 1.0, taken)
    yield from _swapped_digits(run, checks, step, scales)


def _fahrenheit(run: Readings) -> Iterator[_Try]:
    start = (run.start_temperature_C - 32.0) / 1.8
    end = (run.end_temperature_C - 32.0) / 1.8
    both = replace(run, start_temperature_C=start, end_temperature_C=end)
    yield _Try(FAHRENHEIT, "end_temperature_C", 1.0, both)
    yield _Try(FAHRENHEIT, "end_temperature_C", 1.0, replace(run, end_temperature_C=end), 2.0)
    yield _Try(FAHRENHEIT, "start_temperature_C", 1.0, replace(run, start_temperature_C=start), 2.0)


def _swapped_digits(
    run: Readings, checks: InputChecks, step: float, scales: dict[str, Scale]
) -> Iterator[_Try]:
    """Two neighbouring digits exchanged, in the way the readings are written: g, cm, turns, as read."""
    decimals = max(0, len(f"{step:.6f}".rstrip("0").partition(".")[2])) if step > 0.0 else 1
    for field, scale in scales.items():
        shown = scale.shown(getattr(run, field))
        if not 0.0 < abs(shown) < 1e6:
            continue
        for other in with_digits_exchanged(shown, decimals):
            if not (checks.on_marks and off_mark(other, step)):
                yield from _with_digits(run, field, 1.0, scale.celsius(other))
    for field, factor in (("inversions", 1.0), ("tube_length_m", 1e2), ("shot_mass_kg", 1e3)):
        written = getattr(run, field) * factor
        if 0.0 < abs(written) < 1e6:
            for other in with_digits_exchanged(written, 0):
                yield from _with_digits(run, field, factor, other / factor)


def _with_digits(run: Readings, field: str, factor: float, corrected: float) -> Iterator[_Try]:
    if corrected != getattr(run, field):
        change: dict[str, Any] = {field: corrected}
        yield _Try(DIGITS_SWAPPED, field, factor, replace(run, **change), _SEARCH_COST)


def _named(
    run: Readings, attempt: _Try, class_: Typical, gravity: float, scales: dict[str, Scale]
) -> SuspectedSlip | None:
    corrected = attempt.corrected
    warming, energy = corrected.warming_K, gravity * corrected.fall_m * corrected.inversions
    if not warming > 1e-6 or not isfinite(energy / warming):
        return None
    quantity = _BY_SI_NAME[attempt.field]
    factor = quantity.per_si
    as_entered = getattr(run, attempt.field) * factor
    becomes = getattr(corrected, attempt.field) * factor
    apparent = energy / warming
    values = {
        "entered": short(as_entered, 6),
        # A length from inches is no better known than it was typed.
        "corrected": short(becomes, 4) if attempt.slip == LENGTH_UNIT else short(becomes, 6),
        "start": short(corrected.start_temperature_C, 4),
        "end": short(corrected.end_temperature_C, 4),
        "apparent": short(apparent),
        "usual": short(energy / class_.expected_warming(energy, corrected.shot_mass_kg)),
    }
    scale = scales.get(attempt.field)
    if attempt.slip == DIGITS_SWAPPED and scale is not None and scale.unit != "°C":
        for name, celsius in (("entered", as_entered), ("corrected", becomes)):
            values[name] = f"{short(scale.shown(celsius), 6)} {scale.unit}"
    return SuspectedSlip(
        slip=attempt.slip,
        field=quantity.column,
        as_entered=as_entered,
        corrected=becomes,
        apparent_heat_capacity_J_per_kg_K=apparent,
        sentence=Message(SENTENCES[attempt.slip], values),
    )
