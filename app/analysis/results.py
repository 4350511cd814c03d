"""The result of a class's analysis, as frozen records.

An absent figure is `None` and a reason in words stands beside it; there is never a NaN.
Units stand in the names; `u_` is a standard uncertainty; an interval is (low, high) at 95 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import NamedTuple

from app.analysis.readings import ClassSettings, RunReadings
from app.physics.rounding import whole_percents
from app.words import Message

Interval = tuple[float, float]
ANALYSIS_VERSION = 1
"""Raise it by one with every change after which the same readings give other figures: a model, a prior, a
rule about flags, a rounding within the fit. A refactoring that moves last digits alone does not count."""
ODD_FROM = 0.5  # our own choice
"""A run or a bench is odd where it is more probably unlike the others than not."""


def finite(value: float | None) -> float | None:
    """`value`, or None where it is no finite number."""
    return value if value is not None and isfinite(value) else None


@dataclass(frozen=True)
class Flag:
    """Why a run deserves a second look: never a deletion."""

    rule: str
    reason: Message
    figure: float | None = None
    threshold: float | None = None


@dataclass(frozen=True)
class SuspectedSlip:
    """A slip that would bring the run back into the class. Never applied by itself.

    `field` is the run table's column (`shot_mass_g`, `end_temperature_C`, …); `as_entered` and
    `corrected` are in that column's unit.
    """

    slip: str
    field: str
    as_entered: float
    corrected: float
    apparent_heat_capacity_J_per_kg_K: float
    sentence: Message
    readings: RunReadings
    """The whole run as it would read without the slip: two lengths or two temperatures may change."""


@dataclass(frozen=True)
class Budget:
    """A run's uncertainty by source: |∂c*/∂x|·u(x) in J/(kg·K); the squares add up to u(c*)²."""

    thermometer_step: float
    reading: float
    fall_length: float
    gravity: float
    inversions: float
    """Turns are counted: zero."""
    technique: float
    """How far one run of one bench may be from the full falls."""


@dataclass(frozen=True)
class RunResult:
    """One run worked out.

    Without a specific heat capacity `absent_because` says why; with one but without an interval,
    `interval_absent_because` does.
    """

    readings: RunReadings
    fall_m: float
    specific_energy_J_per_kg: float
    warming_K: float
    u_warming_K: float
    apparent_heat_capacity_J_per_kg_K: float | None
    standard_uncertainty_J_per_kg_K: float | None
    interval_95: Interval | None
    budget: Budget | None = None
    flags: tuple[Flag, ...] = ()
    suspected_slip: SuspectedSlip | None = None
    absent_because: Message | None = None
    interval_absent_because: Message | None = None
    unlike_the_others: float | None = None
    """The probability, in the class's fit, of the run's being unlike the others; None where there is no
    fit."""

    @property
    def is_unlike_the_others(self) -> bool:
        """Whether it is more probably so than not."""
        return self.unlike_the_others is not None and self.unlike_the_others > ODD_FROM


@dataclass(frozen=True)
class ClassValue:
    """The class's pooled apparent specific heat capacity.

    `interval_95` is None, with `interval_absent_because`, where it would promise too much.
    """

    apparent_heat_capacity_J_per_kg_K: float
    interval_95: Interval | None
    method: str
    runs: int
    benches: int
    percent_error: float
    accepted_J_per_kg_K: float
    accepted_inside_interval: bool | None
    percent_error_interval: Interval | None = None
    interval_absent_because: Message | None = None


@dataclass(frozen=True)
class PooledEstimate:
    """One method's class value beside the others (run-level-fit, plain-mean, random-effects)."""

    method: str
    apparent_heat_capacity_J_per_kg_K: float
    interval_95: Interval | None
    between_bench_sd_J_per_kg_K: float


@dataclass(frozen=True)
class BenchSummary:
    """One bench's runs together (counted runs only)."""

    bench: str
    runs: int
    mean_mass_kg: float
    apparent_heat_capacity_J_per_kg_K: float | None
    standard_uncertainty_J_per_kg_K: float | None
    repeatability_sd_J_per_kg_K: float | None = None
    mandel_h: float | None = None
    mandel_k: float | None = None
    unlike_the_others: float | None = None
    """The probability, in the class's fit, of the bench as a whole being unlike the others."""


@dataclass(frozen=True)
class Spread:
    """Scatter within benches (repeatability) and between them (ISO 5725-2); None where unknown."""

    repeatability_sd: float | None
    between_bench_sd: float | None
    reproducibility_sd: float | None
    mandel_h_critical: float | None = None
    mandel_k_critical: float | None = None
    cochran_C: float | None = None
    cochran_C_critical: float | None = None
    reason: Message | None = None


@dataclass(frozen=True)
class LinePoint:
    """One counted run on the straight-line view (x = specific energy, y = warming)."""

    bench: str
    run: str
    specific_energy_J_per_kg: float
    warming_K: float
    u_warming_K: float
    residual_K: float
    leverage: float | None = None
    cooks_distance: float | None = None
    studentized_residual: float | None = None


@dataclass(frozen=True)
class LineFit:
    """Warming against specific fall energy: through the origin, with an offset, and robust."""

    slope_K_kg_per_J: float
    u_slope_K_kg_per_J: float | None
    apparent_heat_capacity_J_per_kg_K: float
    offset_K: float | None
    u_offset_K: float | None
    slope_with_offset_K_kg_per_J: float | None
    robust_slope_K_kg_per_J: float | None
    points: tuple[LinePoint, ...] = ()


@dataclass(frozen=True)
class Separated:
    """The fit of m·e = (m·c + C)·w + λ·N·θ: the specific heat capacity with the heat sink taken out.

    `heat_leak_per_inversion` is λ over the mean mass of the benches, in J/(kg·K).
    """

    identifiable: bool
    reason: Message
    heat_capacity_J_per_kg_K: float | None = None
    interval_95: Interval | None = None
    heat_sink_J_per_K: float | None = None
    heat_sink_interval_95: Interval | None = None
    percent_error: float | None = None
    accepted_inside_interval: bool | None = None
    heat_leak_per_inversion: float | None = None
    model: str | None = None
    heat_leak_J_per_K_per_inversion: float | None = None
    heat_leak_interval_95: Interval | None = None
    heat_leak_absent_because: Message | None = None


class HeatLedger(NamedTuple):
    """Where the class's fall energy went, as shares of it (1 = all), with standard uncertainties.

    `unaccounted` is what is in neither shot nor heat sink. `heat_leak` is the part of it that the fit finds
    went to the room (below 0: came from it); None where the fit has no leak.
    """

    shot: float
    u_shot: float
    heat_sink: float | None
    u_heat_sink: float | None
    unaccounted: float
    u_unaccounted: float
    note: Message
    heat_leak: float | None = None
    u_heat_leak: float | None = None

    @property
    def percents(self) -> tuple[int, int, int]:
        """Shot, heat sink (0 where it is not told apart) and unaccounted in whole percents adding to 100."""
        shot, sink, rest = whole_percents((self.shot, self.heat_sink or 0.0, self.unaccounted))
        return shot, sink, rest


@dataclass(frozen=True)
class WithWiderPriors:
    """Medians and 95 % intervals with a prior twice as wide, and by what percentage the medians move."""

    specific_heat_J_per_kg_K: float
    specific_heat_interval_95: Interval
    specific_heat_moves_percent: float
    class_value_J_per_kg_K: float
    class_value_interval_95: Interval
    class_value_moves_percent: float


@dataclass(frozen=True)
class ClassBudgetLine:
    """One source of the uncertainty of a class's figure; the shares of a budget add up to 1."""

    source: str
    name: Message
    standard_uncertainty_J_per_kg_K: float
    share_of_variance: float
    advice: Message


@dataclass(frozen=True)
class MassLevel:
    """Benches with about the same mass, in order of first appearance, and what the class's model says of
    them."""

    mass_kg: float
    """The median of the benches' masses."""
    benches: tuple[str, ...]
    apparent_heat_capacity_J_per_kg_K: float
    interval_95: Interval | None


@dataclass(frozen=True)
class ClassResult:
    """All that the tool has to say about one class."""

    settings: ClassSettings
    runs: tuple[RunResult, ...]
    benches: tuple[BenchSummary, ...]
    class_value: ClassValue | None
    class_value_absent_because: Message | None
    class_value_without_flagged: ClassValue | None
    estimates: tuple[PooledEstimate, ...]
    spread: Spread
    line: LineFit | None
    separated: Separated
    ledger: HeatLedger | None
    warnings: tuple[Message, ...] = ()
    separated_without_flagged: Separated | None = None
    class_budget: tuple[ClassBudgetLine, ...] = ()
    """Of the specific heat capacity where it is separated, else of the class value; largest line first."""
    with_wider_priors: WithWiderPriors | None = None
    one_allowance: Message | None = None
    """What one end allowance for different masses may do to the result; among the warnings too."""
    levels: tuple[MassLevel, ...] = ()
    """From the lightest on; none where there is no fit."""
    room_is_known: bool = True
    """Whether the class's room temperature, or that of a counted run, is known: a leak is then in the fit."""
    could_still_be_wrong: tuple[Message, ...] = ()
    """What no reading of this class shows, and how large it may be: no interval includes it."""
