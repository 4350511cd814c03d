"""Numbers of a plan that the planner itself would not propose, each with the reason.

They are possible, so the teacher may go on with them; what is impossible is refused in `prediction`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from app.analysis.plan.kit import FILLED_AT_MOST, Kit
from app.analysis.plan.mass_limits import MASS_STEP_KG
from app.analysis.plan.prediction import BenchPlan, BenchPrediction, Prediction
from app.physics.limits import FAR_FROM_ROOM_K
from app.physics.rounding import short, whole
from app.words import N_, Message


@dataclass(frozen=True)
class Beyond:
    """One number: the bench's label, the field (mass, inversions, runs or start) and the reason."""

    bench: str
    field: str
    sentence: Message


def beyond_the_kit(kit: Kit, prediction: Prediction) -> tuple[Beyond, ...]:
    """Every number of the plan that goes beyond the kit, bench by bench."""
    used_up_at = _shot_used_up_at(kit, prediction)
    found: list[Beyond] = []
    for bench in prediction.benches:
        plan = bench.plan
        found += [Beyond(plan.bench, "mass", sentence) for sentence in _mass(kit, plan)]
        if plan.bench == used_up_at:
            found.append(Beyond(plan.bench, "mass", _too_little_shot(kit, prediction)))
        found += [Beyond(plan.bench, "inversions", sentence) for sentence in _inversions(kit, bench)]
        found += [Beyond(plan.bench, "runs", sentence) for sentence in _time(kit, plan)]
        found += [Beyond(plan.bench, "start", sentence) for sentence in _start(kit, bench)]
    return tuple(found)


def _mass(kit: Kit, plan: BenchPlan) -> Iterator[Message]:
    """A proposal is rounded to whole steps of mass, so a step beyond the limits is not beyond the kit."""
    mass, brimful = plan.shot_mass_kg, kit.brimful_kg(plan.tube)
    low, _ = kit.mass_limits_kg(plan.tube)
    values = {"low": whole(low * 1000)}
    if mass > kit.most_mass_kg + MASS_STEP_KG:
        sentence = N_("More than the most shot for one bench (%(most)s g).")
        yield Message(sentence, {"most": whole(kit.most_mass_kg * 1000)})
    if brimful is not None and mass > FILLED_AT_MOST * brimful + MASS_STEP_KG:
        sentence = N_("Fills about %(share)s %% of the tube: little is left to fall.")
        yield Message(sentence, {"share": whole(100 * mass / brimful)})
    if mass < low - MASS_STEP_KG:
        if kit.least_mass_kg is not None:
            yield Message(N_("Less than the least shot for one bench (%(low)s g)."), values)
        else:
            sentence = N_("May not cover the thermometer's bulb: about %(low)s g do.")
            yield Message(sentence, values)


def _shot_used_up_at(kit: Kit, prediction: Prediction) -> str | None:
    """The first bench for which there is no shot left; None where there is enough."""
    total = 0.0
    for bench in prediction.benches:
        total += bench.plan.shot_mass_kg
        if kit.shot_available_kg is not None and total > kit.shot_available_kg + 1e-9:
            return bench.plan.bench
    return None


def _too_little_shot(kit: Kit, prediction: Prediction) -> Message:
    needed = sum(bench.plan.shot_mass_kg for bench in prediction.benches)
    sentence = N_("All benches together need %(needed)s kg of shot; there is %(have)s kg, used up here.")
    return Message(sentence, {"needed": short(needed), "have": short(kit.shot_available_kg or 0.0)})


def _inversions(kit: Kit, bench: BenchPrediction) -> Iterator[Message]:
    if bench.plan.inversions > kit.most_inversions:
        sentence = N_("More than the most inversions in one run (%(most)s).")
        values = {"most": str(kit.most_inversions)}
        yield Message(sentence, values)
    if bench.warning is not None:
        yield bench.warning


def _time(kit: Kit, plan: BenchPlan) -> Iterator[Message]:
    needed = plan.runs * (kit.minutes_beside_tipping + plan.inversions / kit.tips_per_minute)
    if needed > kit.minutes + 1e-9:
        sentence = N_("All runs of this bench take about %(needed)s min; there are %(have)s.")
        values = {"needed": f"{ceil(needed - 1e-9)}", "have": short(kit.minutes, 6)}
        yield Message(sentence, values)


def _start(kit: Kit, bench: BenchPrediction) -> Iterator[Message]:
    start, room = bench.start_temperature_C, kit.room_temperature_C
    proposed = room - bench.start_below_room_K
    if min(abs(start - room), abs(start - proposed)) > FAR_FROM_ROOM_K:
        sentence = N_("Far from the room's %(room)s °C: heat leaks through the whole run.")
        yield Message(sentence, {"room": short(room)})
