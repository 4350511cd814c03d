"""From the kit at hand to a plan for every bench that makes the separated interval narrow.

The specific heat capacity is the value at 1/m → 0 of a line in 1/m, so masses at the two extremes serve it
best, and more benches belong to the heavy end (Elfving's design for an extrapolation; G. Elfving, Ann. Math.
Stat. 23 (1952) 255, from memory). Two masses cannot show whether the line is straight; a third one can,
and costs a little. The search tries all splits over a coarse grid of masses and keeps both answers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from app.analysis.fit.design import LEAST_BENCHES
from app.analysis.plan.kit import Kit, Tube, check_kit
from app.analysis.plan.kit_limits import MassLimits, enough_shot, mass_limits
from app.analysis.plan.masses import candidates, even_masses, same_mass
from app.analysis.plan.prediction import BenchPlan, Prediction, predict
from app.analysis.plan.width import Bench, planned_bench, widths
from app.physics.planned import about_half, counts_of_runs
from app.physics.rounding import one_decimal, whole
from app.words import N_, Message

THIRD_MASS_MAY_COST = 0.15
"""The third mass is recommended while it widens the interval by at most this much (our own choice)."""
_MOST_RUNS = 4
"""Of one bench in a lesson of the usual length (common practice, no source)."""
_NEAR_THE_BEST = 0.1
"""Tipping is saved as long as the variance of a bench stays within 10 % of the best (our own choice)."""


@dataclass(frozen=True)
class Alternative:
    """One way to run the lesson and what it is expected to give."""

    key: str
    name: Message
    plans: tuple[BenchPlan, ...]
    prediction: Prediction


@dataclass(frozen=True)
class Proposal:
    """The recommended plan, why, and what else was weighed (narrowest first in `alternatives`).

    `other_counts` is the recommended plan with a second count where it has none, and without where it has
    one; None where a bench makes one run only.
    """

    recommended: Alternative
    why: Message
    alternatives: tuple[Alternative, ...]
    other_counts: Alternative | None
    start_advice: Message
    warnings: tuple[Message, ...]


@lru_cache(maxsize=32)  # the planner asks about one kit at each press: to show, to check, to store
def propose(kit: Kit) -> Proposal:
    """The plan with the smallest separated interval that the kit allows; a second count changes neither
    masses nor runs. Raises ImpossiblePlan where the kit allows none.
    """
    if kit.two_counts:
        return _with_two_counts(kit, propose(replace(kit, two_counts=False)))
    check_kit(kit)
    limits = mass_limits(kit)
    runs, inversions = _runs_and_inversions(kit, limits)
    same = _alternative(kit, "same", same_mass(kit, limits), runs, inversions)
    designs = _best_designs(kit, limits, runs, inversions)
    even = even_masses(kit, limits)
    if even is not None and designs:
        designs["even"] = even
    made = {key: _alternative(kit, key, masses, runs, inversions) for key, masses in designs.items()}
    found = {key: one for key, one in made.items() if one.prediction.not_separated_because is None}
    two, three = found.get("extremes"), found.get("three")
    costs = None if two is None or three is None else _half_width(three) / _half_width(two) - 1
    recommended, why = _choose(same, two, three, costs, kit)
    others = sorted(found.values(), key=_half_width)
    return Proposal(
        recommended=recommended,
        why=why,
        alternatives=(*others, same),
        other_counts=None if runs == 1 else _recounted(replace(kit, two_counts=True), recommended),
        start_advice=_start_advice(recommended.prediction),
        warnings=recommended.prediction.warnings,
    )


def _with_two_counts(kit: Kit, plain: Proposal) -> Proposal:
    """The same ways to run the lesson, each with a second count."""
    made = {one.key: _recounted(kit, one) for one in plain.alternatives}
    recommended = made[plain.recommended.key]
    return replace(
        plain,
        recommended=recommended,
        alternatives=tuple(made.values()),
        other_counts=None if plain.other_counts is None else plain.recommended,
        start_advice=_start_advice(recommended.prediction),
        warnings=recommended.prediction.warnings,
    )


def _recounted(kit: Kit, one: Alternative) -> Alternative:
    """The same masses and runs with the counts that this kit asks for."""
    first = one.plans[0]
    masses = [plan.shot_mass_kg for plan in one.plans]
    return _alternative(kit, one.key, masses, first.runs, first.inversions)


def cost_of_change(before: Prediction, after: Prediction) -> float | None:
    """How many times wider the separated interval gets by a change of plan; None where it cannot be said."""
    old, new = before.separated_half_width_J_per_kg_K, after.separated_half_width_J_per_kg_K
    return None if old is None or new is None else new / old


def _runs_and_inversions(kit: Kit, limits: MassLimits) -> tuple[int, int]:
    """Runs a bench and inversions a run: the least tipping that comes near the best the minutes allow.

    Two runs or more if they fit, so that the benches' repeatability shows.
    """
    possible = []
    for runs in range(1, _MOST_RUNS + 1):
        tips = kit.tips_per_minute * (kit.minutes / runs - kit.minutes_beside_tipping)
        most = min(kit.most_inversions, int(tips + 1e-9))
        counts = {most, *range(10, most, 10)} if most >= 1 else set()
        possible += [(runs, count) for count in counts]
    several = [pair for pair in possible if pair[0] > 1] or possible
    # One in three at the light end, a start for the search: our own choice.
    dealt = limits.clamped([limits.low if i % 3 == 0 else limits.high for i in range(kit.benches)])
    variance = {pair: _mean_variance(kit, dealt, *pair) for pair in several}
    good_enough = (1 + _NEAR_THE_BEST) * min(variance.values())
    near = [pair for pair in several if variance[pair] <= good_enough]
    return min(near, key=lambda pair: (pair[0] * pair[1], pair[0]))


def _mean_variance(kit: Kit, masses: Sequence[float], runs: int, inversions: int) -> float:
    """Mean relative variance of the benches' values, of what their readings leave uncertain and of technique:
    smaller is better whatever the masses are."""
    benches = _bench_maker(kit, runs, inversions)(masses)
    u_warming = np.array([bench.u_warming_K for bench in benches])
    warming = np.array([2.0 * -bench.start_above_room_K for bench in benches])
    of_runs = (np.square(u_warming / warming) + kit.technique_sd_run**2) / runs
    return float((of_runs + kit.technique_sd_bench**2).mean())


def _bench_maker(kit: Kit, runs: int, inversions: int) -> Callable[[Sequence[float]], list[Bench]]:
    """From masses in tube order to the benches as the linear model needs them, each with a start at which its
    leaks cancel; like tubes with like masses are worked out once."""
    counts = counts_of_runs(inversions, _second(kit, inversions, runs), runs)

    @cache
    def made(tube: Tube, step_K: float, mass_kg: float) -> Bench:
        return planned_bench(kit, tube, step_K, mass_kg, counts)

    steps = [kit.step_K(i) for i in range(kit.benches)]
    return lambda masses: [made(*one) for one in zip(kit.tubes, steps, masses, strict=True)]


def _second(kit: Kit, inversions: int, runs: int) -> int | None:
    """The second count of a bench's plan, where there is to be one."""
    return about_half(inversions) if kit.two_counts and runs > 1 and inversions > 1 else None


def _best_designs(kit: Kit, limits: MassLimits, runs: int, inversions: int) -> dict[str, list[float]]:
    """The best masses with two and with three different ones, in tube order."""
    best: dict[str, tuple[float, list[float]]] = {}
    if kit.benches < LEAST_BENCHES:
        return {}
    benches = _bench_maker(kit, runs, inversions)
    for key, masses in candidates(kit, limits):
        if not (limits.fit(masses) and enough_shot(kit, masses)):
            continue
        half = widths(kit, benches(masses)).specific_heat_half_width
        if key not in best or half < best[key][0] * (1 - 1e-9):
            best[key] = (half, masses)
    return {key: masses for key, (_, masses) in best.items()}


def _alternative(kit: Kit, key: str, masses: Sequence[float], runs: int, inversions: int) -> Alternative:
    second = _second(kit, inversions, runs)
    plans = tuple(
        BenchPlan(str(i + 1), tube, kit.step_K(i), mass, inversions, runs, second_inversions=second)
        for i, (tube, mass) in enumerate(zip(kit.tubes, masses, strict=True))
    )
    prediction = predict(kit, plans)
    plans = tuple(
        replace(plan, start_temperature_C=round(bench.start_temperature_C, 1))
        for plan, bench in zip(plans, prediction.benches, strict=True)
    )
    return Alternative(key, _NAMES[key], plans, predict(kit, plans))


_NAMES = {
    "same": Message(N_("Everyone does the same")),
    "extremes": Message(N_("Two masses, light and heavy")),
    "three": Message(N_("Two masses and a third between them")),
    "even": Message(N_("Four masses in even steps")),
}


def _half_width(alternative: Alternative) -> float:
    half = alternative.prediction.separated_half_width_J_per_kg_K
    return float("inf") if half is None else half


def _choose(
    same: Alternative, two: Alternative | None, three: Alternative | None, costs: float | None, kit: Kit
) -> tuple[Alternative, Message]:
    if two is None:
        if kit.benches < LEAST_BENCHES:
            return same, Message(N_("Fewer than four benches cannot separate shot and heat sink."))
        return same, Message(
            N_("The kit does not allow masses that differ enough to separate shot and heat sink.")
        )
    if three is None or costs is None:
        return two, Message(N_("Light and heavy shot let the class take the heat sink out of its result."))
    share = {"percent": whole(100 * costs)}
    if costs <= THIRD_MASS_MAY_COST:
        sentence = N_(
            "A third mass lets the class check that the points lie on one line, "
            "and widens the interval by only %(percent)s %%."
        )
        return three, Message(sentence, share)
    sentence = N_(
        "Two masses give the narrowest interval; a third one, to check the line, "
        "would widen it by %(percent)s %%."
    )
    return two, Message(sentence, share)


def _start_advice(prediction: Prediction) -> Message:
    below = [bench.start_below_room_K for bench in prediction.benches]
    if max(below) - min(below) < 0.15:  # said with one figure: our own choice
        return Message(
            N_("Start about %(below)s K below room temperature, half the expected warming."),
            {"below": one_decimal(sum(below) / len(below))},
        )
    return Message(
        N_("Start %(least)s to %(most)s K below room temperature, half the expected warming of each bench."),
        {"least": one_decimal(min(below)), "most": one_decimal(max(below))},
    )
