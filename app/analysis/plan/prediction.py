"""What a plan will give: expected warming and interval widths, before anybody has tipped a tube.

Whether shot and sink will be told apart is asked of the fit's own rule (`design`), the widths are those
of its linear model (`width`), and what one end allowance for all masses does is said as the fit says it
(`one_allowance`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isnan

from app.analysis.fit.allowance import OneAllowance
from app.analysis.fit.design import Sentences, why_not_told_apart
from app.analysis.fit.model import Priors
from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube, check_kit, impossible_count
from app.analysis.plan.one_allowance import planned_with_one_allowance
from app.analysis.plan.width import Bench, layout_of, planned_bench, warmings, widths
from app.analysis.results import Interval
from app.physics.coverage import COVERAGE_95
from app.physics.limits import MOST_INVERSIONS, MOST_RUNS_OF_A_BENCH
from app.physics.planned import counts_of_runs
from app.physics.rounding import short, whole
from app.physics.uncertainty import apparent_heat_capacities
from app.words import N_, Message

_STEPS_TO_SEE = 10.0
"""With fewer steps of the thermometer u(w)/w is above 4 %, as in `physics.falls` (our own choice)."""
_OF_A_PLAN = Sentences(
    N_("At least four benches are needed to tell the shot from the heat sink."),
    N_(
        "With the same mass everywhere the shot and the heat sink cannot be told apart: "
        "give at least three benches about half the mass."
    ),
    N_(
        "With masses as near to one another as these, or so few falls, the specific heat capacity would "
        "be uncertain by about %(half)s %%: the shot and the heat sink cannot be told apart. Spread the "
        "masses further, or make more inversions."
    ),
)


@dataclass(frozen=True)
class BenchPlan:
    """What one bench is to do. Its second run has `second_inversions`, where they are given; all others have
    `inversions`. Without a start temperature: half its mean warming below the room."""

    bench: str
    tube: Tube
    thermometer_step_K: float
    shot_mass_kg: float
    inversions: int
    runs: int
    start_temperature_C: float | None = None
    second_inversions: int | None = None

    @property
    def counts(self) -> tuple[int, ...]:
        """The count of each planned run."""
        return counts_of_runs(self.inversions, self.second_inversions, self.runs)


@dataclass(frozen=True)
class BenchPrediction:
    """What one bench can expect.

    Warming, its uncertainty and `one_run_interval_95` are those of a single run of `inversions`; the interval
    is None if unbounded. The warning is about the run with the fewest.
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
    """What the class can expect. Half-widths are of the 95 % intervals, medians over classes.

    `one_allowance` says what one end allowance for all masses does, beyond the intervals.
    """

    benches: tuple[BenchPrediction, ...]
    class_value_J_per_kg_K: float
    class_half_width_J_per_kg_K: float | None
    separated_J_per_kg_K: float
    separated_half_width_J_per_kg_K: float | None
    not_separated_because: Message | None
    one_allowance: OneAllowance | None
    warnings: tuple[Message, ...]


def predict(kit: Kit, plans: Sequence[BenchPlan]) -> Prediction:
    """What these benches will give. Raises ImpossiblePlan for a plan that cannot be carried out."""
    check_kit(kit)
    if not plans:
        raise ImpossiblePlan("benches", Message(N_("There is no bench in the plan. Plan at least one.")))
    benches, of_model = zip(*(_predict_bench(kit, plan) for plan in plans), strict=True)
    reason = why_not_told_apart(layout_of(kit, of_model), kit.c, Priors(), _OF_A_PLAN)
    found = widths(kit, of_model)
    allowances_m = [bench.end_allowance_m for bench in benches]
    return Prediction(
        benches=benches,
        class_value_J_per_kg_K=found.class_value,
        class_half_width_J_per_kg_K=found.class_half_width,
        separated_J_per_kg_K=kit.c,
        separated_half_width_J_per_kg_K=found.specific_heat_half_width if reason is None else None,
        not_separated_because=reason,
        one_allowance=planned_with_one_allowance(kit, of_model, allowances_m, found.answer),
        warnings=tuple(bench.warning for bench in benches if bench.warning is not None),
    )


def _predict_bench(kit: Kit, plan: BenchPlan) -> tuple[BenchPrediction, Bench]:
    """What the bench can expect, and the bench as the linear model needs it."""
    _check_plan(kit, plan)
    allowance = kit.end_allowance_m(plan.tube, plan.shot_mass_kg)
    balanced = planned_bench(kit, plan.tube, plan.thermometer_step_K, plan.shot_mass_kg, plan.counts)
    below = -balanced.start_above_room_K
    start = plan.start_temperature_C
    start = kit.room_temperature_C - below if start is None else start
    planned = replace(balanced, start_above_room_K=start - kit.room_temperature_C)
    expected = warmings(kit, planned)
    one = apparent_heat_capacities(
        plan.tube.length_m,
        allowance,
        plan.inversions,
        0.0,
        expected[0],
        thermometer_step_K=plan.thermometer_step_K,
        reading_sd_K=kit.reading_sd_K,
        u_length_m=kit.length_sd_m,
        gravity_m_per_s2=kit.gravity_m_per_s2,
        u_gravity_m_per_s2=kit.u_gravity_m_per_s2,
    )
    low, high = float(one.low_95_J_per_kg_K), float(one.high_95_J_per_kg_K)
    predicted = BenchPrediction(
        plan=plan,
        end_allowance_m=allowance,
        fall_m=planned.fall_m,
        expected_warming_K=expected[0],
        u_warming_K=planned.u_warming_K,
        start_temperature_C=start,
        start_below_room_K=below,
        apparent_heat_capacity_J_per_kg_K=float(one.apparent_heat_capacity_J_per_kg_K),
        one_run_interval_95=None if isnan(high) else (low, high),
        warning=_warning(plan, min(expected), planned.u_warming_K),
    )
    return predicted, planned


def _check_plan(kit: Kit, plan: BenchPlan) -> None:
    here = {"bench": plan.bench}
    for field, count in (("inversions", plan.inversions), ("second_inversions", plan.second_inversions)):
        if count is not None and not 1 <= count <= MOST_INVERSIONS:
            raise ImpossiblePlan(field, impossible_count(count))
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
    values = {"warming": short(warming_K, 2), "step": short(plan.thermometer_step_K, 6)}
    if warming_K <= COVERAGE_95 * u_warming_K or warming_K < plan.thermometer_step_K:
        sentence = N_(
            "A thermometer with steps of %(step)s K cannot see a warming of %(warming)s K."
            " Give it more inversions or a finer thermometer."
        )
        return Message(sentence, values)
    # And u(w)/w above 5 %: our own choice.
    if warming_K < _STEPS_TO_SEE * plan.thermometer_step_K and u_warming_K > 0.05 * warming_K:
        sentence = N_(
            "A warming of %(warming)s K is only a few steps of a %(step)s K thermometer,"
            " so one run says little."
        )
        return Message(sentence, values)
    return None
