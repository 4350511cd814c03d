"""Readings that no tube and no class can have given."""

from __future__ import annotations

from math import inf

import numpy as np

from app.analysis import columns
from app.analysis.columns import LARGEST_READING, Columns
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


def impossible_runs(cols: Columns) -> dict[int, list[Flag]]:
    """The runs with a reading that no tube and no class can have given, by position, with the reasons."""
    table = cols.table
    turns = table[columns.INVERSIONS]
    possible = np.array(POSSIBLE)
    out = (table < possible[:, :1]) | (table > possible[:, 1:])
    out[columns.INVERSIONS] |= turns != np.rint(turns)
    found = {}
    for i in np.flatnonzero(out.any(axis=0)).tolist():
        mass, length, allowance, counts, start, end, fall = out[:, i].tolist()
        run = cols.runs[i]
        reasons: list[Flag] = []
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
        if reasons:
            found[i] = reasons
    return found


def _cannot_be(rule: str, template: str, reading: float) -> Flag:
    reading = min(max(reading, -LARGEST_READING), LARGEST_READING)
    # How it is written: our own choice.
    text = whole(reading) if 1e3 <= abs(reading) < 1e9 else short(reading)
    return Flag(rule, Message(template, {"reading": text}), figure=reading)
