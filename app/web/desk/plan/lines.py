"""The plan's line for each bench as a teacher types it over the proposal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from app.analysis.plan.kit import ImpossiblePlan, Kit
from app.physics.reading.planning import parse_run_count
from app.physics.reading.readings import (
    parse_count,
    parse_mass,
    parse_temperature,
)
from app.physics.rounding import one_decimal, short
from app.practicals.lesson.details import BenchPlanLine, Plan
from app.web.forms import TypedForm, fingerprint
from app.words import Message

if TYPE_CHECKING:  # brings scipy, which a first page should not wait for
    from app.analysis.plan.prediction import BenchPlan, BenchPrediction, Prediction


@dataclass
class BenchLines(TypedForm):
    """What was typed for each bench, and the plans if nothing is wrong with it.

    `warnings` are the numbers that may stand although the planner would not propose them, `of_class` what the
    whole plan is warned of.
    """

    plans: tuple[BenchPlan, ...] = ()
    warnings: dict[str, tuple[Message, ...]] = field(default_factory=dict)
    of_class: tuple[Message, ...] = ()

    @property
    def warned_of(self) -> str:
        """A digest of the warnings: another number beyond the kit, or the same one further, gives another."""
        said = [f"{name}: {sentence}" for name, all_of in self.warnings.items() for sentence in all_of]
        said += map(str, self.of_class)
        return fingerprint("\n".join(said)) if said else ""


def lines_of_plans(plans: Sequence[BenchPlan]) -> BenchLines:
    """The fields of a proposal."""
    typed: dict[str, str] = {}
    for plan in plans:
        start = plan.start_temperature_C
        typed |= {
            f"mass_{plan.bench}": short(round(plan.shot_mass_kg * 1000, 3), 6),
            f"inversions_{plan.bench}": str(plan.inversions),
            f"second_{plan.bench}": "" if plan.second_inversions is None else str(plan.second_inversions),
            f"runs_{plan.bench}": str(plan.runs),
            f"start_{plan.bench}": "" if start is None else one_decimal(start),
        }
    return BenchLines(typed, {}, tuple(plans))


def plans_of_stored(plan: Plan, proposed: Sequence[BenchPlan]) -> tuple[BenchPlan, ...]:
    """The proposal with what is stored for each bench put over it."""
    return tuple(_stored_over(plan.for_bench(int(one.bench)), one) for one in proposed)


def _stored_over(line: BenchPlanLine, proposed: BenchPlan) -> BenchPlan:
    mass, start = line.shot_mass_kg, line.start_temperature_C
    return replace(
        proposed,
        shot_mass_kg=proposed.shot_mass_kg if mass is None else float(mass),
        inversions=line.inversions or proposed.inversions,
        second_inversions=line.second_inversions,
        runs=line.runs or proposed.runs,
        start_temperature_C=proposed.start_temperature_C if start is None else float(start),
    )


def read_lines(form: Mapping[str, str], proposed: Sequence[BenchPlan]) -> BenchLines:
    """Read every bench's line; a bench without fields keeps what is proposed for it."""
    offered = lines_of_plans(proposed).typed
    lines = BenchLines.of(form, offered, offered, longest=200)
    plans = tuple(_read_line(plan, lines) for plan in proposed)
    lines.plans = () if lines.problems else plans
    return lines


def _read_line(proposed: BenchPlan, lines: BenchLines) -> BenchPlan:
    """One bench's line; meaningless while there are problems."""
    bench = proposed.bench
    mass = lines.read(f"mass_{bench}", lambda text: float(parse_mass(text).value))
    inversions = lines.read(f"inversions_{bench}", lambda text: int(parse_count(text).value))
    second = lines.read_optional(f"second_{bench}", lambda text: int(parse_count(text).value))
    runs = lines.read(f"runs_{bench}", parse_run_count)
    start = lines.read_optional(f"start_{bench}", lambda text: float(parse_temperature(text).value))
    return replace(
        proposed,
        shot_mass_kg=mass or proposed.shot_mass_kg,
        inversions=inversions or proposed.inversions,
        second_inversions=second,
        runs=runs or proposed.runs,
        start_temperature_C=start,
    )


def predicted(kit: Kit, lines: BenchLines) -> Prediction | None:
    """What the lines will give; a line that no bench could carry out becomes a problem beside it.

    A number that the planner would not propose gets a warning beside it.
    """
    from app.analysis.plan.kit_limits import beyond_the_kit  # noqa: PLC0415 - brings scipy
    from app.analysis.plan.prediction import predict  # noqa: PLC0415 - brings scipy

    if not lines.plans:
        return None
    try:
        prediction = predict(kit, lines.plans)
    except ImpossiblePlan as problem:
        lines.problems[_field_of(kit, lines)] = problem.message
        return None
    lines.warnings = {}
    lines.of_class = () if prediction.one_allowance is None else (prediction.one_allowance.warning,)
    for one in beyond_the_kit(kit, prediction):
        name = f"{one.field}_{one.bench}"
        lines.warnings[name] = (*lines.warnings.get(name, ()), one.sentence)
    return prediction


def _field_of(kit: Kit, lines: BenchLines) -> str:
    """The first bench that cannot be: its mass is what the teacher should look at."""
    from app.analysis.plan.prediction import predict  # noqa: PLC0415 - brings scipy

    for plan in lines.plans:
        try:
            predict(kit, [plan])
        except ImpossiblePlan as problem:
            name = {"inversions": "inversions", "second_inversions": "second"}.get(problem.field, "mass")
            return f"{name}_{plan.bench}"
    return "mass_1"


def stored_line(bench: BenchPrediction, of_class: Plan) -> BenchPlanLine:
    """A bench's line as it is stored: lengths to the millimetre, the start to a tenth of a degree.

    Its thermometer is noted only where it is another than the class's.
    """
    step = Decimal(str(bench.plan.thermometer_step_K))
    return BenchPlanLine(
        number=int(bench.plan.bench),
        shot_mass_kg=Decimal(f"{bench.plan.shot_mass_kg:.6f}").normalize() + 0,
        tube_length_m=Decimal(f"{bench.plan.tube.length_m:.4f}").normalize() + 0,
        end_allowance_m=Decimal(f"{bench.end_allowance_m:.3f}"),
        inversions=bench.plan.inversions,
        second_inversions=bench.plan.second_inversions,
        start_temperature_C=Decimal(f"{bench.start_temperature_C:.1f}"),
        runs=bench.plan.runs,
        thermometer_step_K=None if step == of_class.thermometer_step_K else step,
    )
