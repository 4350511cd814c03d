"""Tubes warmer or colder than the shot poured into them: what they may do to the class's result.

Heat that passes between tube and shot looks like heat of the falls. No reading shows where a tube was, so
this is no part of the interval. The energy balance and the class's own starts say how large it may be, and a
class with different masses may exclude the warmest tubes: light shot takes more from them. Chilling both
together, and reading the start in the tube once it no longer changes, takes the fault away.
"""

from __future__ import annotations

from math import log
from typing import NamedTuple

import numpy as np
from scipy.optimize import nnls

from app.analysis.columns import LEAST_WARMING_K, Columns, medians
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import USUAL_SINK_J_PER_K, believed_runs
from app.analysis.fit.quantities import technique_of_a_run
from app.analysis.fit.stacked import above_room
from app.physics.rounding import one_decimal, whole
from app.statistics.domain import Floats
from app.words import N_, Message

WORTH_SAYING = 0.02
"""Relative: tables differ by as much for lead (our own choice)."""
SHARES_OF_THE_WAY = (1.0, 0.75, 0.5, 0.25)  # our own choice
"""How far from the shot's temperature a tube may have been to the room's, or to the last run's end."""
EXCLUDED = 9.0
"""Twice the logarithm of a likelihood ratio: three standard deviations (our own choice)."""
LEAST_J_PER_KG_K = 1.0  # our own choice
"""No specific heat capacity is taken for smaller than this."""

APART_TOO_LOW = N_(
    "The shot started on average %(apart)s °C below the room. Tubes that were %(warmer)s °C warmer than the "
    "shot when it was poured in would fit the readings too. Their heat would make the class value about "
    "%(off)s %% and the heat sink about %(sink)s %% too low, and no interval says so; the specific heat "
    "capacity, which comes from unlike masses, would be off by about %(heat)s %%. Chill each tube with the "
    "shot in it, and read the start in the tube once it no longer changes."
)
CLASS_TOO_LOW = N_(
    "The shot started on average %(apart)s °C below the room. Tubes that were %(warmer)s °C warmer than the "
    "shot when it was poured in would fit the readings too. Their heat would make the class value about "
    "%(off)s %% too low, and no interval says so. Chill each tube with the shot in it, and read the start in "
    "the tube once it no longer changes."
)
TOO_HIGH = N_(
    "The shot started on average %(apart)s °C above the room. If the tubes were at room temperature and the "
    "start was not read in them, they make the class value too high, by up to about %(off)s %%, and no "
    "interval says so. Read the start in the tube once it no longer changes."
)


class Figures(NamedTuple):
    """A class's figures, or by which share of itself without this fault each is too low."""

    class_value: float
    specific_heat: float
    heat_sink: float


class WarmTubes(NamedTuple):
    """What warm tubes do to the figures, where the readings do not exclude them; how much warmer than the
    shot they were on average."""

    warmer_K: float
    too_low: Figures


def tubes_elsewhere(fit: ClassFit, told_apart: bool) -> Message | None:
    """What tubes that started nearer to the room than the shot may do to the class's figures. None where the
    room is not known, where the readings exclude them, or where it matters little."""
    above_K = above_room(fit.columns, fit.settings)
    if above_K is None:
        return None
    apart_K = float(np.mean(above_K[fit.columns.counted]))
    values = {"apart": one_decimal(abs(apart_K))}
    if apart_K > 0.0:
        high = _too_high_at_most(fit.columns, above_K)
        return Message(TOO_HIGH, values | {"off": whole(100.0 * high)}) if high >= WORTH_SAYING else None
    warm = warm_tubes(fit, above_K, told_apart)
    if warm is None or warm.too_low.class_value < WORTH_SAYING:
        return None
    low = warm.too_low
    values["warmer"] = one_decimal(warm.warmer_K)
    values["off"] = whole(100.0 * low.class_value)
    if not told_apart:
        return Message(CLASS_TOO_LOW, values)
    values |= {"sink": whole(100.0 * low.heat_sink), "heat": whole(100.0 * abs(low.specific_heat))}
    return Message(APART_TOO_LOW, values)


def _too_high_at_most(cols: Columns, above_K: Floats) -> float:
    """C·d/(m·e) of a usual sink, which takes that share of the falls' heat; part of it the fit may ascribe to
    the leak."""
    at = cols.counted
    return USUAL_SINK_J_PER_K * float(np.mean(above_K[at] / (cols.mass[at] * cols.energy[at])))


def warm_tubes(fit: ClassFit, start_above_room_K: Floats, told_apart: bool) -> WarmTubes | None:
    """The warmest tubes that the readings do not exclude: at the room's temperature or as the bench's run
    before left them, or part of the way there.

    The energy balance of a run is m·e = m·c·w + C·(w − d) + λ·N·θ, with d how much warmer the tube was than
    the shot. It is fitted with d and without, so that only the difference counts; c is the accepted value
    where it is not told apart from C. Benches, not runs, are counted as evidence: a bench's runs share its
    technique.
    """
    cols = fit.columns
    use = (believed_runs(fit) > 0.0) & (cols.warming > LEAST_WARMING_K)
    runs = _Runs(
        cols.warming[use],
        cols.energy[use],
        cols.mass[use],
        cols.inversions[use],
        start_above_room_K[use],
        np.hypot(technique_of_a_run(fit), cols.u_warming[use] / np.maximum(cols.warming[use], 1e-6)),
    )
    benches = cols.bench_of[use]
    mass_kg = medians(runs.mass, benches)
    c = None if told_apart else fit.settings.accepted_J_per_kg_K
    at_room_K = -runs.above_K
    as_left_K = np.maximum(at_room_K, (cols.end_before - cols.start)[use])
    with_the_shot = np.zeros(len(at_room_K))
    as_read = _balanced(runs, with_the_shot, None)
    read = _figures(runs, with_the_shot, c, mass_kg)
    if as_read is None or read is None:
        return None
    for share in SHARES_OF_THE_WAY:
        # With one mass nothing speaks against a tube of any warmth: only the room's is believed there.
        for warmer_K in (share * as_left_K, share * at_room_K)[0 if told_apart else 1 :]:
            as_meant = _balanced(runs, warmer_K, None)
            meant = _figures(runs, warmer_K, c, mass_kg)
            if as_meant is None or meant is None or not meant.heat_sink > 0.0:
                continue
            if len(mass_kg) * log(max(as_meant.misfit, 1e-12) / max(as_read.misfit, 1e-12)) <= EXCLUDED:
                off = (1.0 - one / other for one, other in zip(read, meant, strict=True))
                return WarmTubes(float(np.mean(warmer_K)), Figures(*off))
    return None


class _Runs(NamedTuple):
    """The believed runs, one entry each; `spread` is the relative uncertainty of a run's energy balance."""

    warming: Floats
    energy: Floats
    mass: Floats
    inversions: Floats
    above_K: Floats
    spread: Floats


class _Balance(NamedTuple):
    specific_heat: float
    heat_sink: float
    misfit: float
    """The sum of the squares of the residuals in units of their spread."""


def _balanced(runs: _Runs, warmer_K: Floats, heat_capacity: float | None) -> _Balance | None:
    """c, C and λ, none below 0, that solve w·c + (w − d)/m·C + N·θ/m·λ = e best; each run over its energy."""
    of_shot = runs.warming / runs.energy
    of_sink = (runs.warming - warmer_K) / (runs.mass * runs.energy)
    of_leak = runs.inversions * (runs.above_K + 0.5 * runs.warming) / (runs.mass * runs.energy)
    rows = np.stack([of_shot, of_sink, of_leak], axis=1) / runs.spread[:, None]
    target = 1.0 / runs.spread
    if len(rows) < len(rows.T) or not np.isfinite(rows).all():
        return None
    try:
        if heat_capacity is None:
            (c, sink, _), misfit = nnls(rows, target)
        else:
            c = heat_capacity
            (sink, _), misfit = nnls(rows[:, 1:], target - c * rows[:, 0])
    except RuntimeError:  # no solution within its steps
        return None
    return _Balance(float(c), float(sink), float(misfit) ** 2)


def _figures(runs: _Runs, warmer_K: Floats, heat_capacity: float | None, mass_kg: Floats) -> Figures | None:
    """The class's figures in that balance; None where the shot would take no heat."""
    found = _balanced(runs, warmer_K, heat_capacity)
    if found is None or not found.specific_heat > LEAST_J_PER_KG_K:
        return None
    c, sink = found.specific_heat, found.heat_sink
    return Figures(1.0 / float(np.mean(1.0 / (c + sink / mass_kg))), c, sink)
