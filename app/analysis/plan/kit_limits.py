"""What the kit allows: the masses worth proposing, tube by tube, and what of a plan goes beyond the kit.

Numbers beyond the kit are possible, so the teacher may go on with them, each with its reason; what is
impossible is refused in `prediction`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor

from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube
from app.analysis.plan.prediction import BenchPlan, BenchPrediction, Prediction
from app.physics.energy import settled_depth
from app.physics.limits import FAR_FROM_ROOM_K
from app.physics.planned import OTHER_RUN
from app.physics.rounding import short, whole
from app.words import N_, Message

_COVERED_BULB_M = 0.03
"""Settled shot at least this deep covers a thermometer's bulb (common practice, no source)."""
_FILLED_AT_MOST = 0.25
"""A proposed mass fills at most this share of its tube, so that there is a fall (our own choice)."""
_USUALLY_COVERS_KG = 0.2
"""What does so where the bore is not known (common practice, no source)."""
_MASS_STEP_KG = 0.01
"""Masses are proposed in whole tens of grams, which a class weighs out quickly (our own choice)."""
_ROUNDING = 1e-9
"""Sums and quotients of typed numbers are compared with this to spare (our own choice)."""


@dataclass(frozen=True)
class MassLimits:
    """The masses worth proposing, tube by tube, in kg."""

    each: tuple[tuple[float, float], ...]

    @property
    def low(self) -> float:
        return min(low for low, _ in self.each)

    @property
    def high(self) -> float:
        return max(high for _, high in self.each)

    def fit(self, masses: Sequence[float]) -> bool:
        """Whether every mass is worth proposing for its tube."""
        pairs = zip(masses, self.each, strict=True)
        return all(low - _ROUNDING <= mass <= high + _ROUNDING for mass, (low, high) in pairs)

    def clamped(self, masses: Sequence[float]) -> list[float]:
        """Each mass moved into the limits of its tube."""
        pairs = zip(masses, self.each, strict=True)
        return [min(max(mass, to_step(low, up=True)), to_step(high)) for mass, (low, high) in pairs]


def mass_limits(kit: Kit) -> MassLimits:
    """Raises ImpossiblePlan where a tube allows no mass, or the shot is not enough for all benches."""
    limits = MassLimits(tuple(_limits_of(kit, tube) for tube in kit.tubes))
    for number, (low, high) in enumerate(limits.each, 1):
        if low > high:
            sentence = N_(
                "No mass fits tube %(number)s: the shot must cover the thermometer's bulb (about %(low)s g) "
                "and fill at most a quarter of the tube (about %(high)s g)."
            )
            values = {"number": str(number), "low": whole(low * 1000), "high": whole(high * 1000)}
            raise ImpossiblePlan("tubes", Message(sentence, values))
    needed = sum(low for low, _ in limits.each)
    if kit.shot_available_kg is not None and kit.shot_available_kg < needed:
        sentence = N_(
            "%(have)s kg of shot is not enough: each bench needs about %(each)s g (benches: %(benches)s). "
            "Plan fewer benches or find more shot."
        )
        values = {
            "have": short(kit.shot_available_kg, 6),
            "benches": str(kit.benches),
            "each": whole(needed / kit.benches * 1000),
        }
        raise ImpossiblePlan("shot_available_kg", Message(sentence, values))
    return limits


def enough_shot(kit: Kit, masses: Sequence[float]) -> bool:
    """Whether there is shot for all benches at once."""
    return kit.shot_available_kg is None or sum(masses) <= kit.shot_available_kg + _ROUNDING


def to_step(mass_kg: float, *, up: bool = False) -> float:
    """To whole tens of grams, never out of the limits: down, or up from the lower limit."""
    tens = mass_kg / _MASS_STEP_KG
    whole = ceil(tens - _ROUNDING) if up else floor(tens + _ROUNDING)
    return round(max(1, whole) * _MASS_STEP_KG, 3)


def _limits_of(kit: Kit, tube: Tube) -> tuple[float, float]:
    """The masses worth proposing for this tube; the lower end may lie above the upper one."""
    low = kit.least_mass_kg
    if low is None:
        low = _USUALLY_COVERS_KG
        if tube.bore_m is not None:
            low = _COVERED_BULB_M / settled_depth(1.0, tube.bore_m, kit.density_kg_per_m3)
    brimful = kit.brimful_kg(tube)
    high = kit.most_mass_kg if brimful is None else min(kit.most_mass_kg, _FILLED_AT_MOST * brimful)
    return low, high


@dataclass(frozen=True)
class Beyond:
    """One number: the bench's label, the field (mass, inversions, second, runs or start) and the reason."""

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
        found += [Beyond(plan.bench, "second", sentence) for sentence in _second(kit, plan)]
        found += [Beyond(plan.bench, "runs", sentence) for sentence in _time(kit, plan)]
        found += [Beyond(plan.bench, "start", sentence) for sentence in _start(kit, bench)]
    return tuple(found)


def _mass(kit: Kit, plan: BenchPlan) -> Iterator[Message]:
    """A proposal is rounded to whole steps of mass, so a step beyond the limits is not beyond the kit."""
    mass, brimful = plan.shot_mass_kg, kit.brimful_kg(plan.tube)
    low, _ = _limits_of(kit, plan.tube)
    values = {"low": whole(low * 1000)}
    if mass > kit.most_mass_kg + _MASS_STEP_KG:
        sentence = N_("More than the most shot for one bench (%(most)s g).")
        yield Message(sentence, {"most": whole(kit.most_mass_kg * 1000)})
    if brimful is not None and mass > _FILLED_AT_MOST * brimful + _MASS_STEP_KG:
        sentence = N_("Fills about %(share)s %% of the tube: little is left to fall.")
        yield Message(sentence, {"share": whole(100 * mass / brimful)})
    if mass < low - _MASS_STEP_KG:
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
        if kit.shot_available_kg is not None and total > kit.shot_available_kg + _ROUNDING:
            return bench.plan.bench
    return None


def _too_little_shot(kit: Kit, prediction: Prediction) -> Message:
    needed = sum(bench.plan.shot_mass_kg for bench in prediction.benches)
    sentence = N_("All benches together need %(needed)s kg of shot; there is %(have)s kg, used up here.")
    return Message(sentence, {"needed": short(needed), "have": short(kit.shot_available_kg or 0.0)})


def _inversions(kit: Kit, bench: BenchPrediction) -> Iterator[Message]:
    if bench.plan.inversions > kit.most_inversions:
        yield _too_many(kit)
    if bench.warning is not None:
        yield bench.warning


def _second(kit: Kit, plan: BenchPlan) -> Iterator[Message]:
    """Of the second run's own count."""
    if plan.second_inversions is None:
        return
    if plan.second_inversions > kit.most_inversions:
        yield _too_many(kit)
    if plan.runs < OTHER_RUN:
        yield Message(N_("This bench has no second run: give it two runs, or leave this empty."))


def _too_many(kit: Kit) -> Message:
    sentence = N_("More than the most inversions in one run (%(most)s).")
    return Message(sentence, {"most": str(kit.most_inversions)})


def _time(kit: Kit, plan: BenchPlan) -> Iterator[Message]:
    needed = plan.runs * kit.minutes_beside_tipping + sum(plan.counts) / kit.tips_per_minute
    if needed > kit.minutes + _ROUNDING:
        sentence = N_("All runs of this bench take about %(needed)s min; there are %(have)s.")
        values = {"needed": whole(ceil(needed - _ROUNDING)), "have": short(kit.minutes, 6)}
        yield Message(sentence, values)


def _start(kit: Kit, bench: BenchPrediction) -> Iterator[Message]:
    start, room = bench.start_temperature_C, kit.room_temperature_C
    proposed = room - bench.start_below_room_K
    if min(abs(start - room), abs(start - proposed)) > FAR_FROM_ROOM_K:
        sentence = N_("Far from the room's %(room)s °C: heat leaks through the whole run.")
        yield Message(sentence, {"room": short(room)})
