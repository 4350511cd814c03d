"""What a figure says of one bench, in words: its value and where that lies, and its own heat ledger.

The words of the class itself are those of `findings`; nothing here comes from a later step than its figure's.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.analysis.fit.accepted import alloy_range
from app.analysis.results import BenchSummary, ClassResult, RunResult
from app.analysis.views.own_ledger import OwnLedger, like_the_others, own_ledger
from app.figures.alternative import REST, SHOT, SINK
from app.figures.benches import counted, runs_by_bench, value_of_bench
from app.figures.levels import grams, level_value, shown_levels
from app.figures.numbers import percent, signed, with_u
from app.physics.rounding import fixed, round_significant
from app.words import N_, Message

NOT_IN_IT = Message(N_("Your bench has no run in this picture yet."))
SET_ASIDE = Message(N_("Your bench's runs are all set aside, so none of them counts here."))
NO_VALUE = Message(N_("Your bench has no value of its own: its runs show no warming."))
OF_THE_MEAN = Message(N_("The interval says where the class value lies, not where single benches do."))
WITHIN_ITS_U = Message(N_("The rest is no more than twice its uncertainty."))
MORE_THAN_ALL = Message(N_("Together more than there was: a reading, or the model, is off."))
LEAST_WHOLE_J = 20.0
"""Less fall energy than this is written with a decimal (our own choice)."""


@dataclass(frozen=True)
class OwnShares:
    """A bench's heat ledger to be shown: what it is of, each part in joules, and what the rest means."""

    of: Message
    parts: tuple[tuple[Message, Message], ...]
    notes: tuple[Message, ...]


def own_words(name: str, result: ClassResult, bench: str) -> tuple[Message, ...]:
    """What the figure of this name says of a bench; nothing where the ledger's parts say it."""
    every = runs_by_bench(result.runs).get(bench)
    if every is None:
        return (NOT_IN_IT,)
    runs = counted(every)
    if not runs:
        return (SET_ASIDE,)
    if name == "ledger":
        return ()
    summary = next((one for one in result.benches if one.bench == bench), None)
    value = value_of_bench(runs, summary)
    if value is None:
        return (NO_VALUE,)
    if name == "line":
        return (_slope(like_the_others(runs)), *_left_out(runs))
    said = [_reads(result, value, summary)]
    if name == "spread":
        said += _beside_it(result, value, bench)
    if name == "accepted" and alloy_range(result.settings) is None:
        said.append(_error(value, result.settings.accepted_J_per_kg_K))
    return tuple(said)


def own_shares(result: ClassResult, bench: str) -> OwnShares | None:
    """The bench's own ledger in joules that add up; None where there is none."""
    found = own_ledger(result, bench)
    if found is None:
        return None
    places = 0 if found.energy_J >= LEAST_WHOLE_J else 1
    energy, shot = round(found.energy_J, places), round(found.shot_J, places)
    sink = round(found.sink_J or 0.0, places)
    rest, u = energy - shot - sink, max(found.u_rest_J, 10.0**-places)
    parts = [(SHOT, _joules(shot, places))]
    if found.sink_J is not None:
        parts.append((SINK, _joules(sink, places)))
    template = N_("%(energy)s ± %(u)s J")
    values = {"energy": signed(fixed(rest, places)), "u": fixed(u, places)}
    parts.append((REST, Message(template, values)))
    notes = [*_note(found), *_left_out(counted(runs_by_bench(result.runs)[bench]))]
    return OwnShares(_of(found, fixed(energy, places)), tuple(parts), tuple(notes))


def _of(found: OwnLedger, energy: str) -> Message:
    if found.runs == 1:
        return Message(N_("Of your %(energy)s J of fall energy"), {"energy": energy})
    template = N_("Of your %(energy)s J of fall energy (the mean of your %(runs)s runs)")
    return Message(template, {"energy": energy, "runs": str(found.runs)})


def _note(found: OwnLedger) -> list[Message]:
    if found.sink_J is not None and abs(found.rest_J) <= 2 * found.u_rest_J:
        return [WITHIN_ITS_U]
    return [MORE_THAN_ALL] if found.rest_J < -2 * found.u_rest_J else []


def _left_out(counted: list[RunResult]) -> list[Message]:
    """That runs unlike the others are not in the bench's figure."""
    left_out = len(counted) - len(like_the_others(counted))
    sentence = N_("Your runs unlike the others, not counted here: %(runs)s.")
    return [Message(sentence, {"runs": str(left_out)})] if left_out else []


def _joules(value: float, places: int) -> Message:
    return Message(N_("%(energy)s J"), {"energy": signed(fixed(value, places))})


def _reads(result: ClassResult, value: float, summary: BenchSummary | None) -> Message:
    """The bench's value, and whether it lies inside the class's interval."""
    pooled = result.class_value
    interval = pooled.interval_95 if pooled else None
    if interval is None:
        sentence = N_("Your bench reads %(value)s J/(kg·K). The class has no interval yet.")
    elif value > interval[1]:
        sentence = N_("Your bench reads %(value)s J/(kg·K): outside the class's interval, above it.")
    elif value < interval[0]:
        sentence = N_("Your bench reads %(value)s J/(kg·K): outside the class's interval, below it.")
    else:
        sentence = N_("Your bench reads %(value)s J/(kg·K): inside the class's interval.")
    u = summary.standard_uncertainty_J_per_kg_K if summary else None
    return Message(sentence, {"value": with_u(value, u)})


def _beside_it(result: ClassResult, value: float, bench: str) -> list[Message]:
    """What benches with as much shot read together; without levels, what the interval is about."""
    level = next((one for one in shown_levels(result) if bench in one.benches), None)
    if level is not None:
        sentence = N_("All benches with %(mass)s g of shot read %(value)s together.")
        return [Message(sentence, {"mass": grams(level), "value": level_value(level)})]
    interval = result.class_value.interval_95 if result.class_value else None
    outside = interval is not None and not interval[0] <= value <= interval[1]
    return [OF_THE_MEAN] if outside else []


def _slope(runs: list[RunResult]) -> Message:
    """Σew/Σe² over the counted runs: the line through the origin of the bench's own."""
    energy = sum(run.specific_energy_J_per_kg**2 for run in runs)
    warmed = sum(run.specific_energy_J_per_kg * run.warming_K for run in runs)
    sentence = N_("Each kJ/kg of fall energy warmed your shot by %(warming)s K.")
    return Message(sentence, {"warming": signed(round_significant(1000 * warmed / energy))})


def _error(value: float, accepted: float) -> Message:
    error = (value / accepted - 1) * 100
    sentence = (
        N_("That is %(error)s %% above the accepted value.")
        if error > 0
        else N_("That is %(error)s %% below the accepted value.")
    )
    return Message(sentence, {"error": percent(abs(error))})
