"""The plan's line for each bench as a teacher types it over the proposal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from app.analysis.plan.kit import ImpossiblePlan, Kit
from app.physics.asking.temperatures import far_off
from app.physics.reading.ice_point import parse_ice_point
from app.physics.reading.planning import parse_run_count
from app.physics.reading.readings import (
    parse_count,
    parse_mass,
    parse_temperature,
)
from app.physics.rounding import one_decimal, short
from app.practicals.lesson.details import BenchPlanLine, Plan
from app.web.forms import TypedForm, fingerprint, plain
from app.words import Message

if TYPE_CHECKING:  # brings scipy, which a first page should not wait for
    from app.analysis.plan.prediction import BenchPlan, BenchPrediction, Prediction

ICE = "ice"
"""The fields of the ice-point readings are ice_1, ice_2, …"""


@dataclass
class BenchLines(TypedForm):
    """What was typed for each bench, and the plans if nothing is wrong with it.

    `ice_points` are what the benches' thermometers show in melting ice, by bench, where somebody read it.
    `warnings` are the numbers that may stand although the planner would not propose them, `of_class` what the
    whole plan is warned of.
    """

    plans: tuple[BenchPlan, ...] = ()
    ice_points: dict[str, Decimal] = field(default_factory=dict)
    warnings: dict[str, tuple[Message, ...]] = field(default_factory=dict)
    of_class: tuple[Message, ...] = ()

    @property
    def warned_of(self) -> str:
        """A digest of the warnings: another number beyond the kit, or the same one further, gives another."""
        said = [f"{name}: {sentence}" for name, all_of in self.warnings.items() for sentence in all_of]
        said += map(str, self.of_class)
        return fingerprint("\n".join(said)) if said else ""


def lines_of_plans(
    plans: Sequence[BenchPlan], plan: Plan, sent: Mapping[str, str] | None = None
) -> BenchLines:
    """The fields of a proposal. No proposal knows an ice-point reading: it stays as sent, else as stored."""
    typed = {name: (sent or {}).get(name, text) for name, text in _stored_ice_points(plan, plans).items()}
    for one in plans:
        start = one.start_temperature_C
        typed |= {
            f"mass_{one.bench}": short(round(one.shot_mass_kg * 1000, 3), 6),
            f"inversions_{one.bench}": str(one.inversions),
            f"second_{one.bench}": "" if one.second_inversions is None else str(one.second_inversions),
            f"runs_{one.bench}": str(one.runs),
            f"start_{one.bench}": "" if start is None else one_decimal(start),
        }
    return BenchLines(typed, {}, tuple(plans))


def _stored_ice_points(plan: Plan, plans: Sequence[BenchPlan]) -> dict[str, str]:
    """The ice-point readings of the plan by the names of their fields."""
    return {f"{ICE}_{one.bench}": plain(plan.for_bench(int(one.bench)).ice_point_C) for one in plans}


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


def read_lines(form: Mapping[str, str], proposed: Sequence[BenchPlan], plan: Plan) -> BenchLines:
    """Read every bench's line; a bench without fields keeps what is proposed for it."""
    offered = lines_of_plans(proposed, plan).typed
    lines = BenchLines.of(form, offered, offered, longest=200)
    plans = tuple(_read_line(one, lines) for one in proposed)
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
    ice_point = lines.read_optional(f"{ICE}_{bench}", lambda text: parse_ice_point(text).value)
    if ice_point is not None:
        lines.ice_points[bench] = ice_point
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
    for bench, ice_point in lines.ice_points.items():
        if sentence := far_off(ice_point):
            lines.warnings[f"{ICE}_{bench}"] = (sentence,)
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


def stored_line(bench: BenchPrediction, of_class: Plan, ice_point_C: Decimal | None) -> BenchPlanLine:
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
        ice_point_C=ice_point_C,
    )
