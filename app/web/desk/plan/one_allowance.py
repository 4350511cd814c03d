"""The warning about one end allowance for masses that differ, on every page that shows a stored plan."""

from __future__ import annotations

from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube
from app.practicals.lesson.details import Plan
from app.words import Message


def one_allowance_warning(plan: Plan) -> Message | None:
    """What it does to the result; None where it does nothing.

    It does nothing where each bench measures its depth, or where no masses are planned.
    """
    lines = [plan.for_bench(line.number) for line in plan.bench_plans]
    lines = [line for line in lines if line.shot_mass_kg is not None]
    if plan.depth_measured or not lines:
        return None
    from app.analysis.plan.prediction import BenchPlan, predict  # noqa: PLC0415 - brings scipy

    tubes = tuple(
        Tube(
            length_m=float(line.tube_length_m or plan.tube_length_m),
            end_allowance_m=float(line.end_allowance_m or 0),
        )
        for line in lines
    )
    kit = Kit(
        tubes,
        material=plan.material,
        heat_capacity_J_per_kg_K=float(plan.accepted_J_per_kg_K),
        heat_sink_J_per_K=float(plan.heat_sink_J_per_K or Kit.heat_sink_J_per_K),
    )
    plans = [
        BenchPlan(
            bench=str(line.number),
            tube=tube,
            thermometer_step_K=float(line.thermometer_step_K or plan.thermometer_step_K),
            shot_mass_kg=float(line.shot_mass_kg or 0),
            inversions=line.inversions or plan.inversions,
            runs=line.runs or 1,
            second_inversions=line.second_inversions,
        )
        for line, tube in zip(lines, tubes, strict=True)
    ]
    try:
        found = predict(kit, plans).one_allowance
    except ImpossiblePlan:
        return None
    return None if found is None else found.warning
