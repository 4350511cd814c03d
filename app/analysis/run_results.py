"""Each run worked out: c* = e/w with its GUM uncertainty, budget and interval.

u(c*)² = c*² [(u(w)/w)² + (u(h)/h)² + (u(g)/g)²], u(w)² = 2·(step²/12 + reading sd²) (JCGM 100:2008, 5.1.2;
4.3.7 for the step). Turns are counted, they carry no uncertainty. The 95 % interval is symmetric for
the slope w/e and inverted, so that it is lopsided for c* where u(w)/w is large; where the lower end of
w/e is not above zero there is no upper end and the interval is None.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import repeat
from math import sqrt
from typing import NamedTuple

import numpy as np

from app.analysis.columns import LEAST_WARMING_K, Columns, Floats
from app.analysis.records import made_from_columns
from app.analysis.results import Budget, ClassSettings, Flag, RunResult, SuspectedSlip
from app.physics.run_uncertainty import ENDS_COLDER, NO_UPPER_END
from app.words import N_, Message


class BudgetLine(NamedTuple):
    """One source's line of a budget: u(x) of the input in `unit`, and its share in J/(kg·K)."""

    source: Message
    u_input: float
    unit: str
    contribution_J_per_kg_K: float


_NO_ENERGY = Message(
    N_(
        "No specific heat capacity: the fall or the number of "
        "inversions is not above zero, so there is no fall "
        "energy."
    )
)
_NO_WARMING = Message(
    N_("No specific heat capacity: the shot did not warm up, and energy divided by no warming is no number.")
)

_VAGUE_FALL = Message(
    N_(
        "The length of the fall is not known well enough: the fall could be almost nothing, "
        "so there is no upper end to the specific heat capacity."
    )
)


def run_results(
    cols: Columns,
    settings: ClassSettings,
    flags: dict[int, list[Flag]],
    slips: dict[int, SuspectedSlip],
) -> tuple[RunResult, ...]:
    """One result for each run, in the order given."""
    warm = cols.workable & (cols.warming > LEAST_WARMING_K)
    warming, fall = cols.warming, cols.fall
    all_warm = bool(warm.all())
    if not all_warm:
        warming, fall = np.where(warm, warming, 1.0), np.where(warm, fall, 1.0)
    apparent = cols.energy / warming
    u_relative = np.sqrt(
        np.square(cols.u_warming / warming)
        + np.square(cols.u_fall / fall)
        + (settings.u_gravity_m_per_s2 / settings.gravity_m_per_s2) ** 2
    )
    reach = 1.96 * u_relative
    bounded = u_relative < 0.5  # the warming is two uncertainties from zero: our own choice
    out = list(
        made_from_columns(
            RunResult,
            cols.runs,
            cols.fall.tolist(),
            cols.energy.tolist(),
            cols.warming.tolist(),
            repeat(cols.u_warming),
            apparent.tolist(),
            (apparent * u_relative).tolist(),
            zip((apparent / (1.0 + reach)).tolist(), (apparent / (1.0 - reach)).tolist(), strict=True),
            _budgets(apparent, warming, fall, cols.u_fall, settings),
            repeat(()),
            repeat(None),
            repeat(None),
            repeat(None),
        )
    )
    if not bounded.all():
        for i in np.flatnonzero(~bounded).tolist():
            too_vague = cols.u_warming / warming[i] < cols.u_fall / fall[i]
            out[i] = out[i]._replace(
                interval_95=None, interval_absent_because=_VAGUE_FALL if too_vague else NO_UPPER_END
            )
    if not all_warm:
        for i in np.flatnonzero(~warm).tolist():
            out[i] = out[i]._replace(
                apparent_heat_capacity_J_per_kg_K=None,
                standard_uncertainty_J_per_kg_K=None,
                interval_95=None,
                interval_absent_because=None,
                budget=None,
                absent_because=_absent_because(bool(cols.workable[i]), float(cols.warming[i])),
            )
    for i, reasons in flags.items():
        out[i] = out[i]._replace(flags=tuple(reasons), suspected_slip=slips.get(i))
    return tuple(out)


def _absent_because(workable: bool, warming_K: float) -> Message:
    if not workable:
        return _NO_ENERGY
    return ENDS_COLDER if warming_K < -LEAST_WARMING_K else _NO_WARMING


def _budgets(
    apparent: Floats, warming: Floats, fall: Floats, u_fall: float, settings: ClassSettings
) -> Iterable[Budget]:
    per_kelvin, per_gravity = apparent / warming, apparent / settings.gravity_m_per_s2
    return made_from_columns(
        Budget,
        _shares(_u_step(settings), per_kelvin),
        _shares(_u_reading(settings), per_kelvin),
        _shares(u_fall, apparent / fall),
        _shares(settings.u_gravity_m_per_s2, per_gravity),
        repeat(0.0),
    )


def _shares(u: float, sensitivity: Floats) -> Iterable[float]:
    return (sensitivity * u).tolist() if u else repeat(0.0, len(sensitivity))


def _u_step(settings: ClassSettings) -> float:
    return settings.thermometer_step_K / sqrt(6.0)


def _u_reading(settings: ClassSettings) -> float:
    return settings.reading_sd_K * sqrt(2.0)


def budget_lines(budget: Budget, settings: ClassSettings) -> tuple[BudgetLine, ...]:
    """A run's budget with the name, the standard uncertainty and the unit of each source."""
    sources = (
        (N_("thermometer step, both readings"), _u_step(settings), "K"),
        (N_("reading the thermometer"), _u_reading(settings), "K"),
        (N_("length of the fall"), settings.length_sd_m, "m"),
        (N_("gravity"), settings.u_gravity_m_per_s2, "m/s²"),
        (N_("count of inversions"), 0.0, "1"),
    )
    return tuple(
        BudgetLine(Message(source), u, unit, share)
        for (source, u, unit), share in zip(sources, budget, strict=True)
    )
