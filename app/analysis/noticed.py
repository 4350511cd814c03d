"""What a lesson's first runs show of a plan that goes wrong, while there is time to change it.

Each thing is said once for the whole class, with what to do before the next run. Nothing here needs the fit.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from app.analysis.readings import RunReadings
from app.physics.energy import settled_depth
from app.physics.rounding import one_decimal, short, whole
from app.words import N_, Message

MASSES, STARTS, DEPTHS, UNMEASURED = "masses", "starts", "depths", "unmeasured"
FEWEST_WITHOUT_A_PLAN = 3
"""Benches, and half of the class, before masses that nobody planned count as alike (our own choice)."""
OF_THE_WARMING, LEAST_RISE_K = 0.25, 0.5  # our own choice
"""Starts that rose by less, over a bench's runs, are no sign of a warm tube."""
FEWEST_RISING, SHARE_RISING = 2, 0.25  # our own choice
"""Benches whose starts rise, and their share of those with two runs: one or two may do so by chance."""
FOR_ONE_BENCH = 0.5  # our own choice
"""Of the warming: by how much a bench's starts rise over three runs before it is named alone."""
DEPTH_OFF = 0.2  # our own choice
"""Relative: poured round shot fills 0.6 ± 0.04 of its volume, so that a fifth is no packing."""

ALIKE_AGAINST_THE_PLAN = N_(
    "The benches weighed nearly the same mass (%(masses)s g), although the plan has them apart "
    "(%(planned)s g). With like masses the specific heat capacity and the heat sink "
    "cannot be told apart. Before the next run, let each bench weigh out the mass on its card."
)
ALIKE = N_(
    "The benches use nearly the same mass (%(masses)s g). With like masses the specific heat "
    "capacity and the heat sink cannot be told apart. For the next run, let half of the benches take about "
    "half of their shot and weigh it again."
)
RISING = N_(
    "The start goes up from run to run (bench: starts): %(benches)s. A tube that is still warm from the run "
    "before does this. Let tube and shot rest between runs, or chill both together, and read the start in "
    "the tube once it no longer changes."
)
DEPTH = N_(
    "The depth of the settled shot does not go with its mass and the bore of %(bore)s mm (bench: measured, "
    "expected): %(benches)s. Hold the tube upright and measure again, from the lower cap to the top of the "
    "shot; check mass and bore too."
)
NOT_MEASURED = N_(
    "The plan lets each bench measure how deep its shot lies, and there is no depth of these benches: "
    "%(benches)s. Their end allowance counts as it was typed. Before the next run, measure the depth there "
    "too."
)


@dataclass(frozen=True)
class LessonPlan:
    """What the runs are held against. `masses_kg` are those that the plan gave, by bench."""

    benches: int
    density_kg_per_m3: float
    thermometer_step_K: float
    bore_m: float | None = None
    depth_measured: bool = False
    masses_kg: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Notice:
    """One thing that the class should change before its next run."""

    about: str
    sentence: Message


def noticed(runs: Sequence[RunReadings], plan: LessonPlan) -> tuple[Notice, ...]:
    """What there is to say, at most one sentence about each thing; `runs` in the order of their making."""
    of_bench: dict[str, list[RunReadings]] = {}
    for run in runs:
        if not run.set_aside:
            of_bench.setdefault(run.bench, []).append(run)
    if not of_bench:
        return ()
    found = (
        (MASSES, _alike({bench: made[-1].shot_mass_kg for bench, made in of_bench.items()}, plan)),
        (STARTS, _rising(of_bench, plan)),
        (DEPTHS, _depths([made[-1] for made in of_bench.values()], plan)),
        (UNMEASURED, _unmeasured([made[-1] for made in of_bench.values()], plan)),
    )
    return tuple(Notice(about, sentence) for about, sentence in found if sentence is not None)


def _alike(masses_kg: Mapping[str, float], plan: LessonPlan) -> Message | None:
    """Masses that came out as one level: against the plan as soon as two of its levels are in."""
    if _levels(masses_kg.values()) > 1:
        return None
    values = {"masses": _range(masses_kg.values())}
    planned = [plan.masses_kg[bench] for bench in masses_kg if bench in plan.masses_kg]
    if len(planned) == len(masses_kg) and _levels(planned) > 1:
        return Message(ALIKE_AGAINST_THE_PLAN, values | {"planned": _range(planned)})
    if _levels(plan.masses_kg.values()) > 1:
        return None  # the benches of another mass are still to come
    many = len(masses_kg) >= FEWEST_WITHOUT_A_PLAN and 2 * len(masses_kg) >= plan.benches
    return Message(ALIKE, values) if many else None


def _levels(masses_kg: Collection[float]) -> int:
    # Brings scipy with it, which the analysis of these runs has loaded already.
    import numpy as np  # noqa: PLC0415

    from app.analysis.fit.design import mass_levels  # noqa: PLC0415

    return mass_levels(np.array(list(masses_kg)))


def _range(masses_kg: Collection[float]) -> str:
    """From the least to the most, in grams; one number where they are the same."""
    return "–".join(dict.fromkeys(whole(1e3 * mass) for mass in (min(masses_kg), max(masses_kg))))


def _rising(of_bench: Mapping[str, list[RunReadings]], plan: LessonPlan) -> Message | None:
    again = {bench: made for bench, made in of_bench.items() if len(made) > 1}
    rising = {b: made for b, made in again.items() if _rises(made, plan.thermometer_step_K, OF_THE_WARMING)}
    if len(rising) < max(FEWEST_RISING, SHARE_RISING * len(again)):
        rising = {
            b: made
            for b, made in rising.items()
            if len(made) > 2 and _rises(made, plan.thermometer_step_K, FOR_ONE_BENCH)
        }
    starts = (
        f"{bench}: {', '.join(one_decimal(run.start_temperature_C) for run in made)}\u00a0°C"
        for bench, made in rising.items()
    )
    return Message(RISING, {"benches": "; ".join(starts)}) if rising else None


def _rises(made: Sequence[RunReadings], class_step_K: float, share: float) -> bool:
    """Whether each start lies above the one before by more than a mark, and the last above the first by so
    large a share of the warming.

    A tube left at the run's end lifts the next start by C/(m·c + C) of the warming, some two fifths of it;
    shot that is left in it, by all of it.
    """
    starts = [run.start_temperature_C for run in made]
    own = made[0].thermometer_step_K
    step_K = class_step_K if own is None else own
    if any(after - before <= step_K for before, after in pairwise(starts)):
        return False
    warming = sum(run.warming_K for run in made) / len(made)
    return starts[-1] - starts[0] >= max(share * warming, LEAST_RISE_K)


def _depths(latest: Sequence[RunReadings], plan: LessonPlan) -> Message | None:
    if plan.bore_m is None:
        return None
    wrong = []
    for run in latest:
        expected_m = settled_depth(run.shot_mass_kg, plan.bore_m, plan.density_kg_per_m3)
        depth_m = run.settled_depth_m
        if depth_m is not None and abs(depth_m - expected_m) > DEPTH_OFF * expected_m:
            wrong.append(f"{run.bench}: {one_decimal(100 * depth_m)} cm, {one_decimal(100 * expected_m)} cm")
    if not wrong:
        return None
    return Message(DEPTH, {"bore": short(1e3 * plan.bore_m), "benches": "; ".join(wrong)})


def _unmeasured(latest: Sequence[RunReadings], plan: LessonPlan) -> Message | None:
    without = [run.bench for run in latest if run.settled_depth_m is None]
    if not plan.depth_measured or not without:
        return None
    return Message(NOT_MEASURED, {"benches": ", ".join(without)})
