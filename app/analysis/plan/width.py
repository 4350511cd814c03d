"""The widths to expect of a plan, by the fit's own linear model (`app.analysis.fit.linear`).

The model is made linear about what the kit assumes: shot, sink, leak, technique of benches and runs, sinks
that differ. The fit has to learn the scatter from the benches, so its interval is Student's with as many
degrees of freedom as benches are left; half of all classes see a scatter below the median of χ². What all
benches share is added, from the lines of the fit's own budget (`app.analysis.fit.shared`). Checked against
simulated and fitted classes by `tests.benchmarks.planner`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from app.analysis.fit.class_fit import FEWEST_BENCHES
from app.analysis.fit.design import mass_levels
from app.analysis.fit.linear import OF_SPECIFIC_HEAT, Layout, Linear, Point, class_value_at, linear
from app.analysis.fit.model import Priors
from app.analysis.fit.shared import shared_lines
from app.analysis.plan.kit import Kit, Tube
from app.analysis.readings import ClassSettings
from app.physics.coverage import COVERAGE_95
from app.physics.energy import (
    expected_warming,
    specific_fall_energy,
    start_below_room,
    warming_with_leak,
)
from app.physics.uncertainty import warming_uncertainty
from app.statistics.domain import Floats
from app.statistics.quantiles import chi_squared_upper, student_two_sided

LEAST_DOF = 2.5
"""What is known beforehand of the scatter is worth about so many benches (our own choice, from simulated
classes of four and five benches)."""


@dataclass(frozen=True)
class Bench:
    """What the model needs of one planned bench. `counts` are its runs', `start_above_room_K` is that of each
    of them."""

    shot_mass_kg: float
    fall_m: float
    counts: tuple[int, ...]
    u_warming_K: float
    start_above_room_K: float


@dataclass(frozen=True)
class Widths:
    """J/(kg·K). Half-widths are of the 95 % intervals, medians over classes; that of the specific heat is
    said whether or not the fit will tell the shot from its sink."""

    class_value: float
    class_half_width: float | None
    specific_heat_half_width: float
    answer: Linear
    """The specific heat's to errors of the benches."""


def planned_bench(
    kit: Kit, tube: Tube, thermometer_step_K: float, shot_mass_kg: float, counts: tuple[int, ...]
) -> Bench:
    """The bench with the start at which the leaks of its runs cancel."""
    fall_m = tube.length_m - kit.end_allowance_m(tube, shot_mass_kg)
    return Bench(
        shot_mass_kg=shot_mass_kg,
        fall_m=fall_m,
        counts=counts,
        u_warming_K=float(warming_uncertainty(thermometer_step_K, kit.reading_sd_K)),
        start_above_room_K=-balanced_start_K(kit, shot_mass_kg, fall_m, counts),
    )


def balanced_start_K(kit: Kit, shot_mass_kg: float, fall_m: float, counts: Sequence[int]) -> float:
    """How far below the room to start, so that the leaks of a bench's runs cancel: half their mean
    warming."""
    mean = sum(counts) / len(counts)
    energy = specific_fall_energy(fall_m, mean, kit.gravity_m_per_s2)
    return start_below_room(expected_warming(energy, shot_mass_kg, kit.c, kit.heat_sink_J_per_K))


def warmings(kit: Kit, bench: Bench) -> tuple[float, ...]:
    """The expected warming of each run in K."""
    counts = np.array(bench.counts, dtype=np.float64)
    energy = specific_fall_energy(np.full(len(counts), bench.fall_m), counts, kit.gravity_m_per_s2)
    _, found = warming_with_leak(
        energy,
        1.0 / bench.shot_mass_kg,
        counts,
        bench.start_above_room_K,
        kit.c,
        kit.heat_sink_J_per_K,
        kit.leak_J_per_K_per_inversion,
    )
    return tuple(np.asarray(found).tolist())


def layout_of(kit: Kit, benches: Sequence[Bench]) -> Layout:
    """The runs of the plan as the fit will see them, in a room whose temperature is known."""
    runs = [len(bench.counts) for bench in benches]

    def each(values: Sequence[float]) -> Floats:
        return np.repeat(np.array(values, dtype=np.float64), runs)

    inversions = np.array([count for bench in benches for count in bench.counts], dtype=np.float64)
    falls = each([bench.fall_m for bench in benches])
    return Layout(
        bench=np.repeat(np.arange(len(benches)), runs),
        energy_J_per_kg=np.asarray(specific_fall_energy(falls, inversions, kit.gravity_m_per_s2)),
        per_mass=1.0 / each([bench.shot_mass_kg for bench in benches]),
        inversions=inversions,
        start_above_room_K=each([bench.start_above_room_K for bench in benches]),
        weight=np.ones(len(falls)),
        u_warming_K=each([bench.u_warming_K for bench in benches]),
        with_leak=True,
    )


def widths(kit: Kit, benches: Sequence[Bench]) -> Widths:
    """What the fit of such classes gives, in the middle of them."""
    plan, k = layout_of(kit, benches), len(benches)
    per_mass = 1.0 / np.array([bench.shot_mass_kg for bench in benches])
    point = Point(
        kit.c,
        kit.heat_sink_J_per_K,
        kit.leak_J_per_K_per_inversion,
        kit.technique_sd_bench,
        kit.technique_sd_run,
        kit.sink_sd,
    )
    shared = u_shared(kit, [bench.fall_m for bench in benches])
    answer = linear(plan, point, Priors(), OF_SPECIFIC_HEAT)
    value, gradient = class_value_at(point, per_mass, np.full(k, 1 / k))
    of_class = linear(plan, point, Priors(), gradient)

    def half(of: Linear, figure: float, dof: float) -> float:
        return COVERAGE_95 * hypot(
            student_over_normal(dof) * sqrt(sum(of.variance.values())), shared * figure
        )

    levels = mass_levels(1.0 / per_mass)
    return Widths(
        class_value=value,
        class_half_width=half(of_class, value, k - min(levels, 2)) if k >= FEWEST_BENCHES else None,
        specific_heat_half_width=half(answer, kit.c, k - 2),
        answer=answer,
    )


def student_over_normal(dof: float) -> float:
    """Median over classes of t·√(χ²/dof), χ² with `dof` degrees of freedom, over the normal's 1.96."""
    dof = max(dof, LEAST_DOF)
    return student_two_sided(dof) * sqrt(chi_squared_upper(dof, 0.5) / dof) / COVERAGE_95


def u_shared(kit: Kit, falls_m: Sequence[float]) -> float:
    """Relative standard uncertainty of what every bench has alike, as the fit of the class will count it."""
    settings = ClassSettings(
        accepted_J_per_kg_K=kit.c,
        gravity_m_per_s2=kit.gravity_m_per_s2,
        u_gravity_m_per_s2=kit.u_gravity_m_per_s2,
        length_sd_m=kit.length_sd_m,
    )
    return hypot(*shared_lines(settings, np.array(falls_m)).values())
