"""What a plan will give: expected warming and interval widths, before anybody has tipped a tube.

Whether shot and sink will be told apart is asked of the fit's own rule (`separability`); the widths are those
of a line over benches, which come near the fit's. Bench i with mass m_i and n_i runs has the expected
apparent value a_i = c + C/m_i and the relative variance v_i + τ²: v_i from the thermometer, τ² from
technique. For the line 1/s = c + C/m the regressors are 1/a_i and 1/(m_i·a_i); the interval is Student's
with k − 2 (separated) or k − 1 degrees of freedom, and never narrower than the known errors alone allow. What
all benches share is added, from the lines of the fit's own budget (`app.analysis.fit.shared`). Widths are the
medians over classes. Checked against simulated and fitted classes by `tests.benchmarks.planner`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isnan, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, stdtrit

from app.analysis.fit.class_fit import FEWEST_BENCHES
from app.analysis.fit.linear import Layout
from app.analysis.fit.shared import shared_lines
from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube, check_kit, impossible_count
from app.analysis.plan.separability import why_not_separated
from app.analysis.readings import ClassSettings
from app.analysis.results import Interval
from app.physics.energy import expected_warming, specific_fall_energy, start_below_room
from app.physics.limits import MOST_INVERSIONS, MOST_RUNS_OF_A_BENCH
from app.physics.rounding import short, whole
from app.physics.uncertainty import COVERAGE_95, apparent_heat_capacities
from app.words import N_, Message

Floats = NDArray[np.float64]
_STEPS_TO_SEE = 10.0
"""With fewer steps of the thermometer u(w)/w is above 4 %, as in `physics.falls` (our own choice)."""


@dataclass(frozen=True)
class BenchPlan:
    """What one bench is to do. Without a start temperature: half its warming below the room."""

    bench: str
    tube: Tube
    thermometer_step_K: float
    shot_mass_kg: float
    inversions: int
    runs: int
    start_temperature_C: float | None = None


@dataclass(frozen=True)
class BenchPrediction:
    """What one bench can expect.

    `one_run_interval_95` is that of a single run, None if unbounded.
    """

    plan: BenchPlan
    end_allowance_m: float
    fall_m: float
    expected_warming_K: float
    u_warming_K: float
    start_temperature_C: float
    start_below_room_K: float
    apparent_heat_capacity_J_per_kg_K: float
    one_run_interval_95: Interval | None
    warning: Message | None = None


@dataclass(frozen=True)
class Prediction:
    """What the class can expect. Half-widths are of the 95 % intervals, medians over classes."""

    benches: tuple[BenchPrediction, ...]
    class_value_J_per_kg_K: float
    class_half_width_J_per_kg_K: float | None
    separated_J_per_kg_K: float
    separated_half_width_J_per_kg_K: float | None
    not_separated_because: Message | None
    warnings: tuple[Message, ...]


def predict(kit: Kit, plans: Sequence[BenchPlan]) -> Prediction:
    """What these benches will give. Raises ImpossiblePlan for a plan that cannot be carried out."""
    check_kit(kit)
    if not plans:
        raise ImpossiblePlan("benches", Message(N_("There is no bench in the plan. Plan at least one.")))
    benches = tuple(_predict_bench(kit, plan) for plan in plans)
    variances = _variances(kit, benches)
    mass = np.array([bench.plan.shot_mass_kg for bench in benches])
    separated_half, reason = None, why_not_separated(kit.c, _layout(kit, benches))
    if reason is None:
        separated_half = hypot(
            separated_half_width(kit, mass, *variances), COVERAGE_95 * u_shared(kit, benches) * kit.c
        )
    value, class_half = _class_value(kit, mass, *variances, u_shared(kit, benches), reason is None)
    warnings = tuple(bench.warning for bench in benches if bench.warning is not None)
    return Prediction(benches, value, class_half, kit.c, separated_half, reason, warnings)


def separated_half_width(kit: Kit, mass_kg: Floats, known: Floats, total: Floats) -> float:
    """Median half-width of the separated 95 % interval, J/(kg·K), for benches whose masses differ, without
    what they share.

    `known` and `total` are relative variances of each bench's value.
    """
    apparent = kit.c + kit.heat_sink_J_per_K / mass_kg
    return _median_half(
        _covariance(mass_kg, apparent, known)[0, 0],
        _covariance(mass_kg, apparent, total)[0, 0],
        len(mass_kg) - 2,
    )


def relative_variances(
    kit: Kit, warming_K: Floats, u_warming_K: Floats, runs: Floats
) -> tuple[Floats, Floats]:
    """Of each bench's value: what its readings account for, and that with technique."""
    known = (u_warming_K / warming_K) ** 2 / runs
    return known, known + kit.technique_sd_bench**2 + kit.technique_sd_run**2 / runs


def _predict_bench(kit: Kit, plan: BenchPlan) -> BenchPrediction:
    _check_plan(kit, plan)
    allowance = kit.end_allowance_m(plan.tube, plan.shot_mass_kg)
    fall_m = plan.tube.length_m - allowance
    energy = specific_fall_energy(fall_m, plan.inversions, kit.gravity_m_per_s2)
    warming = expected_warming(energy, plan.shot_mass_kg, kit.c, kit.heat_sink_J_per_K)
    below = start_below_room(warming)
    start = plan.start_temperature_C
    one = apparent_heat_capacities(
        plan.tube.length_m,
        allowance,
        plan.inversions,
        0.0,
        warming,
        thermometer_step_K=plan.thermometer_step_K,
        reading_sd_K=kit.reading_sd_K,
        u_length_m=kit.length_sd_m,
        gravity_m_per_s2=kit.gravity_m_per_s2,
        u_gravity_m_per_s2=kit.u_gravity_m_per_s2,
    )
    low, high = float(one.low_95_J_per_kg_K), float(one.high_95_J_per_kg_K)
    u_warming = float(one.u_warming_K)
    return BenchPrediction(
        plan=plan,
        end_allowance_m=allowance,
        fall_m=fall_m,
        expected_warming_K=warming,
        u_warming_K=u_warming,
        start_temperature_C=kit.room_temperature_C - below if start is None else start,
        start_below_room_K=below,
        apparent_heat_capacity_J_per_kg_K=float(one.apparent_heat_capacity_J_per_kg_K),
        one_run_interval_95=None if isnan(high) else (low, high),
        warning=_warning(plan, warming, u_warming),
    )


def _check_plan(kit: Kit, plan: BenchPlan) -> None:
    here = {"bench": plan.bench}
    if not 1 <= plan.inversions <= MOST_INVERSIONS:
        raise ImpossiblePlan("inversions", impossible_count(plan.inversions))
    if not 1 <= plan.runs <= MOST_RUNS_OF_A_BENCH:
        sentence = N_("Bench %(bench)s: the number of runs must be between 1 and %(most)s.")
        raise ImpossiblePlan("runs", Message(sentence, {**here, "most": str(MOST_RUNS_OF_A_BENCH)}))
    if not plan.shot_mass_kg > 0:
        raise ImpossiblePlan(
            "shot_mass_kg", Message(N_("Bench %(bench)s has no shot. Give it a mass."), here)
        )
    if not plan.thermometer_step_K > 0:
        sentence = N_("Bench %(bench)s: the thermometer step must be more than zero.")
        raise ImpossiblePlan("thermometer_step_K", Message(sentence, here))
    brimful = kit.brimful_kg(plan.tube)
    if brimful is not None and plan.shot_mass_kg >= brimful:
        sentence = N_("Bench %(bench)s: %(mass)s g of shot is more than its tube holds (about %(full)s g).")
        values = {"mass": whole(plan.shot_mass_kg * 1000), "full": whole(brimful * 1000), **here}
        raise ImpossiblePlan("shot_mass_kg", Message(sentence, values))


def _warning(plan: BenchPlan, warming_K: float, u_warming_K: float) -> Message | None:
    values = {"bench": plan.bench, "warming": short(warming_K, 2), "step": short(plan.thermometer_step_K, 6)}
    if warming_K <= COVERAGE_95 * u_warming_K or warming_K < plan.thermometer_step_K:
        sentence = N_(
            "Bench %(bench)s: a thermometer with steps of %(step)s K cannot see a warming of %(warming)s "
            "K. "
            "Give it more inversions or a finer thermometer."
        )
        return Message(sentence, values)
    # And u(w)/w above 5 %: our own choice.
    if warming_K < _STEPS_TO_SEE * plan.thermometer_step_K and u_warming_K > 0.05 * warming_K:
        sentence = N_(
            "Bench %(bench)s: a warming of %(warming)s K is only a few steps of a %(step)s K thermometer, "
            "so one run says little."
        )
        return Message(sentence, values)
    return None


def _layout(kit: Kit, benches: Sequence[BenchPrediction]) -> Layout:
    """The runs of the plan as the fit will see them, without a leak: starts are planned around the room."""
    runs = np.array([bench.plan.runs for bench in benches])

    def of(values: list[float]) -> Floats:
        return np.repeat(np.array(values, dtype=np.float64), runs)

    falls = of([bench.fall_m for bench in benches])
    inversions = of([float(bench.plan.inversions) for bench in benches])
    return Layout(
        bench=np.repeat(np.arange(len(benches)), runs),
        energy_J_per_kg=np.asarray(specific_fall_energy(falls, inversions, kit.gravity_m_per_s2)),
        per_mass=1.0 / of([bench.plan.shot_mass_kg for bench in benches]),
        inversions=inversions,
        start_above_room_K=np.zeros(len(falls)),
        weight=np.ones(len(falls)),
        u_warming_K=of([bench.u_warming_K for bench in benches]),
        with_leak=False,
    )


def _variances(kit: Kit, benches: Sequence[BenchPrediction]) -> tuple[Floats, Floats]:
    return relative_variances(
        kit,
        np.array([bench.expected_warming_K for bench in benches]),
        np.array([bench.u_warming_K for bench in benches]),
        np.array([float(bench.plan.runs) for bench in benches]),
    )


def u_shared(kit: Kit, benches: Sequence[BenchPrediction]) -> float:
    """Relative standard uncertainty of what every bench has alike, as the fit of the class will count it."""
    settings = ClassSettings(
        accepted_J_per_kg_K=kit.c,
        gravity_m_per_s2=kit.gravity_m_per_s2,
        u_gravity_m_per_s2=kit.u_gravity_m_per_s2,
        length_sd_m=kit.length_sd_m,
    )
    return hypot(*shared_lines(settings, np.array([bench.fall_m for bench in benches])).values())


def _class_value(
    kit: Kit, mass_kg: Floats, known: Floats, total: Floats, of_all: float, separates: bool
) -> tuple[float, float | None]:
    """k/Σ(1/a_i) and the median half-width of its interval; None below three benches."""
    apparent = kit.c + kit.heat_sink_J_per_K / mass_kg
    value = float(len(mass_kg) / (1 / apparent).sum())
    if len(mass_kg) < FEWEST_BENCHES:
        return value, None
    if separates:
        square = 1 / apparent**2
        slope = np.array([square.mean(), (square / mass_kg).mean()]) * value**2
        of_known = float(slope @ _covariance(mass_kg, apparent, known) @ slope)
        of_total = float(slope @ _covariance(mass_kg, apparent, total) @ slope)
        dof = len(mass_kg) - 2
    else:
        of_known, of_total = value**2 / float((1 / known).sum()), value**2 / float((1 / total).sum())
        dof = len(mass_kg) - 1
    return value, hypot(_median_half(of_known, of_total, dof), COVERAGE_95 * of_all * value)


def _covariance(mass_kg: Floats, apparent: Floats, variance: Floats) -> Floats:
    """Covariance of (c, C) in the weighted fit with these relative variances."""
    design = np.column_stack([1 / apparent, 1 / (mass_kg * apparent)])
    weighted = design / np.maximum(variance, 1e-18)[:, None]
    return np.asarray(np.linalg.inv(design.T @ weighted))


def _median_half(variance_known: float, variance_total: float, dof: int) -> float:
    """Median over classes of max(t·√(χ²/dof·V), 1.96·√v), χ² with `dof` degrees of freedom."""
    student = -float(stdtrit(dof, 0.025))
    middle = float(chdtri(dof, 0.5)) / dof
    return max(student * sqrt(middle * variance_total), COVERAGE_95 * sqrt(variance_known))
