"""The standard uncertainty of one run's specific heat capacity, with its budget, by the GUM.

c = g·(L − a)·N / w − C/m, first order in the inputs (JCGM 100:2008, 5.1 and 5.2). A reading on a scale of
step s has the standard uncertainty s/√12 (GUM F.2.2.1); the two readings' steps do not cancel, while an
offset of the one thermometer does. The interval is Fieller's for the ratio of energy and warming, so it is
as lopsided as it has to be where the warming is small.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.words import N_, Message

COVERAGE_95 = 1.959963984540054
"""Two-sided 95 % quantile of the normal distribution: scipy.special.ndtri(0.975)."""

NO_UPPER_END = Message(
    N_(
        "The warming is too small for this thermometer: it could be zero, "
        "so there is no upper end to the specific heat capacity."
    )
)
"""Why a run has no 95 % interval."""

ENDS_COLDER = Message(
    N_("The shot ends colder than it began, so no specific heat capacity follows from this run.")
)
"""Why a run whose end temperature is below its start has no specific heat capacity."""

SOURCES: Mapping[str, Message] = MappingProxyType(
    {
        "thermometer-step": Message(N_("Thermometer step (both readings)")),
        "reading": Message(N_("Reading the thermometer (both readings)")),
        "tube-length": Message(N_("Tube length")),
        "end-allowance": Message(N_("End allowance")),
        "gravity": Message(N_("Gravity")),
        "inversions": Message(N_("Count of inversions")),
        "shot-mass": Message(N_("Shot mass")),
        "heat-sink": Message(N_("Heat sink")),
    }
)


@dataclass(frozen=True)
class RunInputs:
    """One run's readings with their standard uncertainties, in SI (temperatures in °C).

    `reading_correlation` is between the reading errors at start and end (not the steps), from −1 to 1.
    The heat sink is zero for an apparent specific heat capacity; the mass matters only with a heat sink.

    `thermometer_step_K`: 0.1 K, a school's digital thermometer (common practice, no source).
    """

    tube_length_m: float
    inversions: float
    start_temperature_C: float
    end_temperature_C: float
    end_allowance_m: float = 0.0
    gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2
    shot_mass_kg: float | None = None
    heat_sink_J_per_K: float = 0.0
    thermometer_step_K: float = 0.1
    reading_sd_K: float = 0.0
    reading_correlation: float = 0.0
    u_tube_length_m: float = 0.0
    u_end_allowance_m: float = 0.0
    u_gravity_m_per_s2: float = 0.0
    u_inversions: float = 0.0
    u_shot_mass_kg: float = 0.0
    u_heat_sink_J_per_K: float = 0.0


@dataclass(frozen=True)
class BudgetShare:
    """One source's share |∂c/∂x|·u(x) in J/(kg·K); `u_input` is in `unit`, for both readings together."""

    source: str
    u_input: float
    unit: str
    contribution_J_per_kg_K: float


@dataclass(frozen=True)
class RunUncertainty:
    """c with its standard uncertainty, budget and 95 % interval; None with a reason where they cannot be."""

    fall_m: float
    specific_energy_J_per_kg: float
    u_specific_energy_J_per_kg: float
    warming_K: float
    u_warming_K: float
    heat_capacity_J_per_kg_K: float | None
    u_heat_capacity_J_per_kg_K: float | None
    interval_95: tuple[float, float] | None
    budget: tuple[BudgetShare, ...] = ()
    absent_because: Message | None = None
    interval_absent_because: Message | None = None


def warming_uncertainty(
    thermometer_step_K: float, reading_sd_K: float = 0.0, correlation: float = 0.0
) -> float:
    """u(w) = √(2·s²/12 + 2·sd²·(1 − r)) in kelvin.

    Domain: step and sd ≥ 0, −1 ≤ r ≤ 1; ValueError otherwise.
    """
    if not (thermometer_step_K >= 0 and reading_sd_K >= 0 and -1 <= correlation <= 1):
        raise ValueError("step and sd must not be negative and the correlation must lie between -1 and 1")
    return math.hypot(thermometer_step_K / math.sqrt(6), math.sqrt(2 * (1 - correlation)) * reading_sd_K)


def run_uncertainty(run: RunInputs) -> RunUncertainty:
    """Everything about one run, first order, with Fieller's interval.

    Domain: finite inputs, u ≥ 0, mass > 0 where there is a heat sink; ValueError otherwise.
    """
    _check(run)
    fall_m = run.tube_length_m - run.end_allowance_m
    energy = run.gravity_m_per_s2 * fall_m * run.inversions
    warming_K = run.end_temperature_C - run.start_temperature_C
    u_warming_K = warming_uncertainty(run.thermometer_step_K, run.reading_sd_K, run.reading_correlation)
    energy_shares = _energy_shares(run, fall_m)
    u_energy = math.hypot(*(share for _, _, _, share in energy_shares))
    so_far = (fall_m, energy, u_energy, warming_K, u_warming_K)
    if not warming_K > 0:
        return RunUncertainty(*so_far, None, None, None, absent_because=_no_warming(warming_K))
    sink, u_sink, sink_shares = _sink(run)
    value = energy / warming_K - sink
    per_kelvin = abs(energy) / warming_K / warming_K
    if not (math.isfinite(value) and math.isfinite(per_kelvin)):
        return RunUncertainty(*so_far, None, None, None, absent_because=_no_number())
    u_reading = math.sqrt(2 * (1 - run.reading_correlation)) * run.reading_sd_K
    u_step = run.thermometer_step_K / math.sqrt(6)
    budget = (
        BudgetShare("thermometer-step", u_step, "K", per_kelvin * u_step),
        BudgetShare("reading", u_reading, "K", per_kelvin * u_reading),
        *(BudgetShare(source, u, unit, share / warming_K) for source, u, unit, share in energy_shares),
        *sink_shares,
    )
    u_value = math.hypot(*(share.contribution_J_per_kg_K for share in budget))
    if not math.isfinite(u_value):
        return RunUncertainty(*so_far, None, None, None, absent_because=_no_number())
    ratio = fieller_interval(energy, u_energy, warming_K, u_warming_K)
    return RunUncertainty(
        *so_far,
        value,
        u_value,
        None if ratio is None else _with_sink(ratio, energy / warming_K, sink, u_sink),
        tuple(sorted(budget, key=lambda share: -share.contribution_J_per_kg_K)),
        interval_absent_because=NO_UPPER_END if ratio is None else None,
    )


def fieller_interval(
    numerator: float, u_numerator: float, denominator: float, u_denominator: float, k: float = COVERAGE_95
) -> tuple[float, float] | None:
    """All ratios ρ with (y − ρ·x)² ≤ k²·(u_y² + ρ²·u_x²), for independent normal y and x.

    None where the set is unbounded, that is where x ≤ k·u_x. Source: E. C. Fieller, J. R. Stat. Soc. B 16
    (1954) 175–185 (from memory).
    """
    y, x = numerator, denominator
    if not x > k * u_denominator:
        return None
    u_x = k * u_denominator / x
    u_y = k * u_numerator / x
    centre, bounded = y / x, 1 - u_x * u_x
    if not bounded > 0:
        return None
    half = math.hypot(u_y * math.sqrt(bounded), centre * u_x)
    low, high = (centre - half) / bounded, (centre + half) / bounded
    return (low, high) if math.isfinite(low) and math.isfinite(high) else None


def _energy_shares(run: RunInputs, fall_m: float) -> tuple[tuple[str, float, str, float], ...]:
    """(source, u of the input, its unit, |∂e/∂x|·u(x) in J/kg)."""
    g, n = abs(run.gravity_m_per_s2), abs(run.inversions)
    return (
        ("tube-length", run.u_tube_length_m, "m", g * n * run.u_tube_length_m),
        ("end-allowance", run.u_end_allowance_m, "m", g * n * run.u_end_allowance_m),
        ("gravity", run.u_gravity_m_per_s2, "m/s²", abs(fall_m) * n * run.u_gravity_m_per_s2),
        ("inversions", run.u_inversions, "", g * abs(fall_m) * run.u_inversions),
    )


def _sink(run: RunInputs) -> tuple[float, float, tuple[BudgetShare, ...]]:
    """C/m, its standard uncertainty and its shares, in J/(kg·K)."""
    mass_kg = run.shot_mass_kg
    if mass_kg is None:
        return 0.0, 0.0, ()
    sink = run.heat_sink_J_per_K / mass_kg
    from_mass = abs(sink) / mass_kg * run.u_shot_mass_kg
    from_sink = run.u_heat_sink_J_per_K / mass_kg
    shares = (
        BudgetShare("shot-mass", run.u_shot_mass_kg, "kg", from_mass),
        BudgetShare("heat-sink", run.u_heat_sink_J_per_K, "J/K", from_sink),
    )
    return sink, math.hypot(from_mass, from_sink), shares


def _with_sink(ratio: tuple[float, float], centre: float, sink: float, u_sink: float) -> tuple[float, float]:
    """The interval of e/w − C/m from those of its two terms (MOVER; Zou and Donner, Stat. Med. 27 (2008)
    1693–1702, from memory): distances from the estimate add in quadrature on each side."""
    low, high = ratio
    reach = COVERAGE_95 * u_sink
    return centre - sink - math.hypot(centre - low, reach), centre - sink + math.hypot(high - centre, reach)


def _check(run: RunInputs) -> None:
    numbers = [value for value in vars(run).values() if value is not None]
    if not all(math.isfinite(number) for number in numbers):
        raise ValueError("every input must be finite")
    uncertainties = [value for name, value in vars(run).items() if name.startswith("u_")]
    if any(value < 0 for value in uncertainties):
        raise ValueError("a standard uncertainty must not be negative")
    if run.shot_mass_kg is None and (run.heat_sink_J_per_K or run.u_heat_sink_J_per_K):
        raise ValueError("a heat sink needs the shot mass")
    if run.shot_mass_kg is not None and not run.shot_mass_kg > 0:
        raise ValueError("the shot mass must be positive")


def _no_warming(warming_K: float) -> Message:
    if warming_K == 0:
        return Message(N_("The shot shows no warming, so no specific heat capacity follows from this run."))
    return ENDS_COLDER


def _no_number() -> Message:
    return Message(N_("These readings give no specific heat capacity that can be written down."))
