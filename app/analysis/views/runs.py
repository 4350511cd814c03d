"""Each run of a class worked out: c* with its budget and interval, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

from app.analysis.columns import LEAST_WARMING_K, Columns
from app.analysis.fit.oddness import Oddness
from app.analysis.readings import ClassSettings
from app.analysis.results import Budget, Flag, RunResult, SuspectedSlip
from app.physics.coverage import COVERAGE_95
from app.physics.uncertainty import (
    ENDS_COLDER,
    NO_UPPER_END,
    SOURCES,
    HeatCapacities,
    apparent_heat_capacities,
    input_uncertainties,
)
from app.words import N_, Message

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
        "so there is no lower end to the specific heat capacity."
    )
)


@dataclass(frozen=True)
class BudgetLine:
    """One source's line of a budget: u(x) of the input in `unit`, and its share in J/(kg·K)."""

    source: Message
    u_input: float
    unit: str
    contribution_J_per_kg_K: float


def run_results(
    cols: Columns,
    settings: ClassSettings,
    flags: dict[int, list[Flag]],
    slips: dict[int, SuspectedSlip],
    odd: Oddness,
    u_technique: float,
) -> tuple[RunResult, ...]:
    """One result for each run, in the order given; `u_technique` is a run's, relative."""
    found = apparent_heat_capacities(
        cols.length,
        cols.allowance,
        cols.inversions,
        cols.start,
        cols.end,
        thermometer_step_K=cols.thermometer_step,
        reading_sd_K=settings.reading_sd_K,
        u_length_m=settings.length_sd_m,
        gravity_m_per_s2=settings.gravity_m_per_s2,
        u_gravity_m_per_s2=settings.u_gravity_m_per_s2,
        u_technique=u_technique,
    )
    return tuple(
        _result(i, cols, found, flags.get(i, []), slips.get(i), odd.runs[i]) for i in range(len(cols.runs))
    )


def _result(
    i: int,
    cols: Columns,
    found: HeatCapacities,
    flags: list[Flag],
    slip: SuspectedSlip | None,
    unlike: float | None,
) -> RunResult:
    workable, warming_K = bool(cols.workable[i]), float(cols.warming[i])
    value = float(found.apparent_heat_capacity_J_per_kg_K[i])
    exists = workable and warming_K > LEAST_WARMING_K and not isnan(value)
    interval, no_interval = _interval(i, cols, found) if exists else (None, None)
    return RunResult(
        readings=cols.runs[i],
        fall_m=float(cols.fall[i]),
        specific_energy_J_per_kg=float(cols.energy[i]),
        warming_K=warming_K,
        u_warming_K=float(cols.u_warming[i]),
        apparent_heat_capacity_J_per_kg_K=value if exists else None,
        standard_uncertainty_J_per_kg_K=float(found.standard_uncertainty_J_per_kg_K[i]) if exists else None,
        interval_95=interval,
        budget=Budget(**{source: float(found.shares[source][i]) for source in SOURCES}) if exists else None,
        flags=tuple(flags),
        suspected_slip=slip,
        absent_because=None if exists else _absent_because(workable, warming_K),
        interval_absent_because=no_interval,
        unlike_the_others=unlike,
    )


def _interval(
    i: int, cols: Columns, found: HeatCapacities
) -> tuple[tuple[float, float], None] | tuple[None, Message]:
    """Fieller's interval, or why there is none: the warming or the fall could be nothing."""
    low, high = float(found.low_95_J_per_kg_K[i]), float(found.high_95_J_per_kg_K[i])
    if isnan(high):
        return None, NO_UPPER_END
    if cols.fall[i] <= COVERAGE_95 * cols.u_fall:
        return None, _VAGUE_FALL
    return (low, high), None


def _absent_because(workable: bool, warming_K: float) -> Message:
    if not workable:
        return _NO_ENERGY
    return ENDS_COLDER if warming_K < -LEAST_WARMING_K else _NO_WARMING


def budget_lines(run: RunResult, settings: ClassSettings) -> tuple[BudgetLine, ...]:
    """A run's budget with the name, the standard uncertainty and the unit of each source; none for a run
    without a specific heat capacity."""
    budget, value = run.budget, run.apparent_heat_capacity_J_per_kg_K
    if budget is None or value is None:
        return ()
    step = run.readings.thermometer_step_K
    u = input_uncertainties(
        settings.thermometer_step_K if step is None else step,
        settings.reading_sd_K,
        settings.length_sd_m,
        settings.u_gravity_m_per_s2,
        budget.technique / value,
    )
    return tuple(
        BudgetLine(line.name, float(u[source]), line.unit, getattr(budget, source))
        for source, line in SOURCES.items()
    )
