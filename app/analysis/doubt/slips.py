"""Known slips of the pen: which one, undone, would bring a flagged run back into the class?

Each known slip is undone in every way it can have happened, and the class's fit is asked how the corrected
run would stand in its bench (`another_run`): −2 log of how well it explains the bench, plus a cost for each
reading that remains unlike what the bench was planned and seen to do. A slip is named only where the
corrected run is more probably like the others than not, gains much over the readings as entered, and no rival
slip does as well. A reading that another run of the bench repeats is no slip of the pen. Nothing is ever
corrected by this.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isfinite, log

import numpy as np

from app.analysis.columns import FALL, LARGEST_READING, LEAST_WARMING_K, Columns
from app.analysis.doubt.inputs import Inputs
from app.analysis.doubt.slip_words import (
    ALLOWANCE_FORGOTTEN,
    DIGITS_SWAPPED,
    INVERSIONS_DOUBLED,
    INVERSIONS_HALVED,
    LENGTH_UNIT,
    SENTENCES,
    TEMPERATURES_SWAPPED,
    WARMING_AS_END,
)
from app.analysis.doubt.thermometer_marks import as_shown
from app.analysis.doubt.undone import Undone, scales_of, undone
from app.analysis.doubt.usual import OF_ITS_OWN, Usual
from app.analysis.fit.another_run import Standing, standings
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.quantities import expected_of
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ODD_FROM, SuspectedSlip
from app.physics.energy import specific_fall_energy
from app.physics.limits import SHOT_MASS_KG
from app.physics.reading.units import Scale
from app.physics.rounding import short
from app.physics.run import QUANTITIES
from app.words import Message

GAIN = 14.0
"""Least drop in cost against the readings as entered: a likelihood ratio of exp(14/2), about 1000 (our own
choice, held to at most 0.1 % of clean runs by `tests.benchmarks.calibration`)."""
LEAD = 5.0
"""Least lead over the best rival slip: a likelihood ratio of exp(5/2), about 12 (our own choice)."""
LOSS = 1.0
"""How much less (in ln) the corrected readings may explain of the whole bench: one whose runs agree, though
all of them are low, is apart, and did not slip in two of three (our own choice)."""
_FAR_COST = 20.0  # more than GAIN: putting a reading right that is far from the bench's own (our own choice)
_UNUSUAL_COST = 9.0  # at most that of three standard deviations (our own choice)
OF_ONE_RUN = (DIGITS_SWAPPED, TEMPERATURES_SWAPPED, WARMING_AS_END)
"""Slips whose correction says nothing about another run's readings."""


_MEASURE_OF_FIELD = {"shot_mass_kg": "mass", "tube_length_m": "length", "inversions": "inversions"}
_BY_SI_NAME = {quantity.si_name: quantity for quantity in QUANTITIES.values()}


def suspected_slip(
    at: int, cols: Columns, fit: ClassFit, inputs: Inputs, settings: ClassSettings
) -> SuspectedSlip | None:
    """The slip that explains the flagged run at this position and no rival does as well; None without one."""
    run = cols.runs[at]
    if not np.abs(cols.table[:FALL, at]).max() < LARGEST_READING:
        return None
    scales = scales_of(run)
    usual = inputs.usual(at)
    allowance = inputs.usual_allowance(at)
    mates = [
        other for i, other in enumerate(cols.runs) if i != at and cols.counted[i] and other.bench == run.bench
    ]
    attempts = [
        attempt
        for attempt in undone(run, allowance, float(cols.thermometer_step[at]), inputs.on_marks, scales)
        if _is_possible(attempt.corrected)
        and _nearer(run, attempt, usual, allowance)
        and not _goes_far(run, attempt.corrected, usual, allowance)
        and not (attempt.slip == DIGITS_SWAPPED and _repeated(run, mates, attempt.field))
    ]
    variants = [(one, others) for one in attempts for others in _with_the_same_slip(run, mates, one)]
    rows = [[run, *mates], *([one.corrected, *others] for one, others in variants)]
    as_entered, *corrected = standings(fit, rows)
    entered = _cost(run, as_entered, usual, allowance)
    best: dict[str, tuple[float, Undone]] = {}
    for (attempt, _), standing in zip(variants, corrected, strict=True):
        if 1.0 - standing.at_home > ODD_FROM or _explains_less(attempt, standing, as_entered):
            continue
        cost = _cost(attempt.corrected, standing, usual, allowance) + attempt.prior
        if attempt.slip not in best or cost < best[attempt.slip][0]:
            best[attempt.slip] = (cost, attempt)
    ranked = sorted(best.values(), key=lambda pair: pair[0])
    if not ranked or entered - ranked[0][0] < GAIN:
        return None
    cost, attempt = ranked[0]
    for rival_cost, rival in ranked[1:]:
        if rival_cost - cost < LEAD and not _same_correction(attempt, rival):
            return None
    return _named(run, attempt, fit, settings, scales)


def _explains_less(attempt: Undone, corrected: Standing, as_entered: Standing) -> bool:
    """Whether the bench as a whole is less probable with the correction than without it. (A forgotten
    allowance changes too little for that.)"""
    return attempt.slip != ALLOWANCE_FORGOTTEN and corrected.log_evidence < as_entered.log_evidence - LOSS


def _is_possible(run: RunReadings) -> bool:
    return (
        run.shot_mass_kg in SHOT_MASS_KG.flagged_outside
        and run.end_allowance_m >= 0.0
        and run.fall_m > 0.0
        and run.inversions > 0.0
    )


def _repeated(run: RunReadings, mates: Sequence[RunReadings], field: str) -> bool:
    """Whether another run of the bench has the same reading: the pen does not slip twice in the same way."""
    return any(getattr(mate, field) == getattr(run, field) for mate in mates)


def _with_the_same_slip(
    run: RunReadings, mates: Sequence[RunReadings], attempt: Undone
) -> Iterator[list[RunReadings]]:
    """The other runs of the bench, corrected where they have the same readings, because a wrong unit is
    carried over from run to run; and for a count also where it is near this one, because who counts every
    other turn does so each time."""
    if attempt.slip in OF_ONE_RUN:
        yield list(mates)
        return
    changes = {name: value for name, value in vars(attempt.corrected).items() if value != getattr(run, name)}
    yield [
        replace(mate, **changes)
        if all(getattr(mate, name) == getattr(run, name) for name in changes)
        else mate
        for mate in mates
    ]
    if attempt.slip in (INVERSIONS_HALVED, INVERSIONS_DOUBLED):
        factor = attempt.corrected.inversions / run.inversions
        near = [bool(abs(log(mate.inversions / run.inversions)) <= OF_ITS_OWN) for mate in mates]
        yield [
            replace(mate, inversions=mate.inversions * factor) if close else mate
            for mate, close in zip(mates, near, strict=True)
        ]


def _same_correction(one: Undone, other: Undone) -> bool:
    """Whether two slips come to the same corrected reading: then they are no rivals."""
    if one.field != other.field:
        return False
    mine, theirs = getattr(one.corrected, one.field), getattr(other.corrected, one.field)
    # Half a percent, below any reading: our own choice.
    return bool(abs(mine - theirs) <= 0.005 * abs(mine))


def _cost(run: RunReadings, standing: Standing, usual: Sequence[Usual], allowance: float | None) -> float:
    """−2 log of how well these readings explain the bench, plus the cost of those unlike its own."""
    cost = -2.0 * standing.log_at_home + _FAR_COST * _far(run, usual, allowance)
    for held_against, reading in zip(usual, _readings(run), strict=False):
        if held_against.measure.name in ("length", "inversions"):
            cost += min(held_against.surprise(reading), _UNUSUAL_COST)
    return cost


def _far(run: RunReadings, usual: Sequence[Usual], allowance: float | None) -> int:
    """How many of its readings are far from what they are held against."""
    far = sum(one.is_far(reading) for one, reading in zip(usual, _readings(run), strict=False))
    return far + _allowance_far(run, allowance)


def _goes_far(
    run: RunReadings, corrected: RunReadings, usual: Sequence[Usual], allowance: float | None
) -> bool:
    """Whether a reading that the correction changes is then far from what it is held against."""
    changed = zip(usual, _readings(run), _readings(corrected), strict=False)
    if any(before != after and one.is_far(after) for one, before, after in changed):
        return True
    return corrected.end_allowance_m != run.end_allowance_m and _allowance_far(corrected, allowance)


def _allowance_far(run: RunReadings, allowance: float | None) -> bool:
    # Half as much again: our own choice.
    return allowance is not None and abs(run.end_allowance_m - allowance) > 0.5 * allowance


def _readings(run: RunReadings) -> tuple[float, float, float, float]:
    """In the order of `usual.MEASURES`."""
    return run.shot_mass_kg, run.tube_length_m, run.inversions, run.start_temperature_C


def _nearer(run: RunReadings, attempt: Undone, usual: Sequence[Usual], allowance: float | None) -> bool:
    """Whether the corrected reading is nearer to what is usual, or at home there: no slip is undone by
    leaving it."""
    before, after = getattr(run, attempt.field), getattr(attempt.corrected, attempt.field)
    if attempt.field == "end_allowance_m":
        # Within half of the usual: our own choice.
        return allowance is not None and abs(after - allowance) < min(
            abs(before - allowance), 0.5 * allowance
        )
    measure = _MEASURE_OF_FIELD.get(attempt.field)
    held_against = next((one for one in usual if one.measure.name == measure), None)
    if held_against is None:
        return True
    if attempt.slip == DIGITS_SWAPPED and measure == "mass" and not held_against.is_far(before):
        # The masses differ by plan: one like the others gives no reason to doubt its digits.
        return False
    # Well inside the bound: our own choice.
    inside = abs(held_against.away(after)) <= 0.6 * held_against.limit
    return inside or abs(held_against.away(after)) <= abs(held_against.away(before))


def _named(
    run: RunReadings, attempt: Undone, fit: ClassFit, settings: ClassSettings, scales: dict[str, Scale]
) -> SuspectedSlip | None:
    corrected = attempt.corrected
    warming = corrected.warming_K
    energy = specific_fall_energy(corrected.fall_m, corrected.inversions, settings.gravity_m_per_s2)
    if not warming > LEAST_WARMING_K or not isfinite(energy / warming):
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
        "usual": short(energy / expected_of(fit, corrected)),
    }
    scale = scales.get(attempt.field)
    if attempt.slip == DIGITS_SWAPPED and scale is not None and scale.unit != "°C":
        values["entered"], values["corrected"] = as_shown(as_entered, scale), as_shown(becomes, scale)
    return SuspectedSlip(
        slip=attempt.slip,
        field=quantity.column,
        as_entered=as_entered,
        corrected=becomes,
        apparent_heat_capacity_J_per_kg_K=apparent,
        sentence=Message(SENTENCES[attempt.slip], values),
        readings=corrected,
    )
