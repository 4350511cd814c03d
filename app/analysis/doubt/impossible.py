"""Readings that no tube and no class can have given."""

from __future__ import annotations

from math import inf

import numpy as np

from app.analysis import columns
from app.analysis.columns import LARGEST_READING, Columns, Flags, Floats
from app.analysis.results import Flag
from app.physics import limits
from app.physics.rounding import short, whole
from app.words import N_, Message

POSSIBLE = (
    limits.SHOT_MASS_KG.flagged_outside.as_floats,
    limits.LENGTH_M.flagged_outside.as_floats,
    (float(limits.END_ALLOWANCE_M.flagged_outside.least), inf),  # a longer one leaves no fall
    limits.INVERSIONS.flagged_outside.as_floats,
    limits.START_TEMPERATURE_C.flagged_outside.as_floats,
    limits.END_TEMPERATURE_C.flagged_outside.as_floats,
    (limits.LEAST_FALL_M, inf),
)
"""Least and greatest of mass, length, allowance, inversions, start, end and fall, as in the table."""


def impossible_masses(cols: Columns) -> int:
    """How many counted runs have a mass that no tube can hold: it says nothing of C/m."""
    return int(np.count_nonzero(~possible_masses(cols.taken.mass)))


def possible_masses(mass: Floats) -> Flags:
    """Which masses, in kg, a tube can hold."""
    least, most = POSSIBLE[columns.MASS]
    return np.asarray((mass >= least) & (mass <= most))


def impossible_runs(
    cols: Columns, flags: dict[int, list[Flag]], least: list[float], greatest: list[float]
) -> Flags | None:
    """Runs with a reading that no tube and no class can have given; None where there is none.

    `least` and `greatest` reading of each row of the table show at once that a class has none.
    """
    table = cols.table
    turns = table[columns.INVERSIONS]
    broken_turns = turns != np.rint(turns)
    inside = zip(POSSIBLE, least, greatest, strict=True)
    if all(low <= lowest and highest <= high for (low, high), lowest, highest in inside) and (
        not broken_turns.any()
    ):
        return None
    possible = np.array(POSSIBLE)
    out = (table < possible[:, :1]) | (table > possible[:, 1:])
    out[columns.INVERSIONS] |= broken_turns
    any_of: Flags = np.asarray(out.any(axis=0))
    for i in np.flatnonzero(any_of).tolist():
        mass, length, allowance, counts, start, end, fall = out[:, i].tolist()
        run = cols.runs[i]
        reasons = flags.setdefault(i, [])
        if mass:
            reasons.append(_cannot_be(
                "mass-impossible", N_("%(reading)s g of shot is not possible: check the mass and its unit."),
                run.shot_mass_kg * 1e3))  # fmt: skip
        if length:
            reasons.append(_cannot_be(
                "length-impossible",
                N_("A tube of %(reading)s cm is not possible: check the length and its unit."),
                run.tube_length_m * 1e2))  # fmt: skip
        if (allowance or fall) and not length:
            reasons.append(_cannot_be(
                "end-allowance-impossible",
                N_("An end allowance of %(reading)s cm is not possible: it is a length taken off, or 0.")
                if allowance
                else N_("An end allowance of %(reading)s cm leaves no fall in this tube."),
                run.end_allowance_m * 1e2))  # fmt: skip
        if counts:
            reasons.append(_cannot_be(
                "inversions-impossible",
                N_("%(reading)s inversions cannot be done in a lesson: check the count.")
                if run.inversions > limits.MOST_INVERSIONS
                else N_("%(reading)s inversions are not possible: count whole turns, at least one."),
                run.inversions))  # fmt: skip
        if start or end:
            reasons.append(_cannot_be(
                "temperature-impossible",
                N_("%(reading)s °C cannot be the shot's temperature: check both readings."),
                run.start_temperature_C if start else run.end_temperature_C))  # fmt: skip
        if not reasons:
            del flags[i]
    return any_of


def _cannot_be(rule: str, template: str, reading: float) -> Flag:
    reading = min(max(reading, -LARGEST_READING), LARGEST_READING)
    # How it is written: our own choice.
    text = whole(reading) if 1e3 <= abs(reading) < 1e9 else short(reading)
    return Flag(rule, Message(template, {"reading": text}), figure=reading)
