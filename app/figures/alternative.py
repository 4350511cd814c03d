"""What stands for a figure where it cannot be seen: its text (what it is, how many it shows, what was found),
and its numbers as a table.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from app.analysis.results import BenchSummary, ClassResult, Interval, RunResult
from app.figures.benches import counted, runs_by_bench, value_of_bench
from app.figures.findings import finding
from app.figures.levels import kelvins_per_kJ_kg, level_value, mass_words, shown_levels
from app.figures.numbers import from_to, low_to_high, percent, plain, signed, with_interval, with_u
from app.physics.rounding import fixed, round_significant, short, whole
from app.words import N_, Message

WHAT = {
    "spread": Message(
        N_(
            "Runs piled as numbered marks over a scale of apparent "
            "specific heat capacity, the class value as a band."
        )
    ),
    "line": Message(
        N_("Runs as dots on warming against fall energy, with the fitted line through the origin.")
    ),
    "accepted": Message(
        N_(
            "The class's interval beside the accepted value, on a scale "
            "of specific heat capacity and percent error."
        )
    ),
    "separated": Message(
        N_(
            "Runs as dots on apparent specific heat capacity against "
            "1/mass, with the fitted line down to the axis."
        )
    ),
    "ledger": Message(N_("Bars for the shares of the fall energy.")),
}
WITH_LEVELS = {
    "spread": Message(
        N_(
            "A lane for each mass of shot: runs and numbered benches over a scale of apparent specific heat"
            " capacity, the class value as a band."
        )
    ),
    "line": Message(
        N_("Runs as dots on warming against fall energy, with a line through the origin for each mass.")
    ),
}
COUNTS = Message(N_("Runs: %(runs)s, benches: %(benches)s, flagged: %(flagged)s, set aside: %(aside)s."))
NONE = Message("–")
MASSES_DIFFER = 1.1
"""A bench's runs are not of one mass from this ratio on (our own choice)."""
BENCH = Message(N_("bench"))
CAPACITY = Message(N_("J/(kg·K)"))
ENERGY = Message(N_("kJ/kg"))
WARMING = Message(N_("warming / K"))
MASS = Message(N_("mass / g"))
YES, NO, UNKNOWN = Message(N_("yes")), Message(N_("no")), Message(N_("cannot be said yet"))
SHOT = Message(N_("warmed the shot"))
SINK = Message(N_("warmed tube, caps, cup and thermometer"))
REST = Message(N_("not accounted for"))


@dataclass(frozen=True)
class Line:
    """One line: a bench (with the state of its mark) or a quantity in words, and its numbers."""

    numbers: tuple[Message, ...]
    bench: str | None = None
    words: Message | None = None
    hollow: bool = False
    ringed: bool = False


@dataclass(frozen=True)
class Table:
    """What a figure plots, in numbers. `short` heads stand where a large class leaves little room."""

    caption: Message
    columns: tuple[Message, ...]
    lines: tuple[Line, ...]
    short: tuple[str, ...] = ()


class Share(NamedTuple):
    """A line of the heat ledger: its share of the fall energy (1 = all) and its standard uncertainty.

    `percent` is the share as it is written: all lines together make 100.
    """

    name: str
    words: Message
    share: float
    u: float | None
    percent: int


def alternative(name: str, result: ClassResult) -> tuple[Message, ...]:
    """The sentences, in order. KeyError for an unknown figure."""
    counts = {
        "runs": str(len(result.runs)),
        "benches": str(len({run.readings.bench for run in result.runs})),
        "flagged": str(sum(bool(run.flags) for run in result.runs)),
        "aside": str(sum(run.readings.set_aside for run in result.runs)),
    }
    what = WITH_LEVELS.get(name, WHAT[name]) if shown_levels(result) else WHAT[name]
    return what, Message(COUNTS.template, counts), finding(name, result)


def table(name: str, result: ClassResult) -> Table:
    """The table of a figure by its name. KeyError for an unknown one."""
    return TABLES[name](result)


def _bench_lines(
    result: ClassResult, numbers: Callable[[list[RunResult], BenchSummary | None], tuple[Message, ...]]
) -> tuple[Line, ...]:
    summaries = {summary.bench: summary for summary in result.benches}
    own = runs_by_bench(result.runs)
    names = sorted(own, key=lambda name: (not name.isdigit(), int(name) if name.isdigit() else 0, name))
    return tuple(
        Line(
            numbers(counted(own[name]), summaries.get(name)),
            bench=name,
            hollow=not counted(own[name]),
            ringed=any(run.flags for run in own[name]),
        )
        for name in names
    )


def _value(runs: list[RunResult], summary: BenchSummary | None) -> Message:
    """The bench's value; where a counted run has none, how many have one too."""
    value = value_of_bench(runs, summary)
    if value is None:
        return NONE
    valued = sum(run.apparent_heat_capacity_J_per_kg_K is not None for run in runs)
    if 0 < valued < len(runs):
        counts = {"valued": str(valued), "runs": str(len(runs))}
        return Message(
            N_("%(value)s (%(valued)s of %(runs)s)"), {"value": signed(round_significant(value)), **counts}
        )
    return plain(with_u(value, None if summary is None else summary.standard_uncertainty_J_per_kg_K))


def _mass(runs: list[RunResult]) -> Message:
    """In grams: the mean; both ends where the runs' masses are not one."""
    masses = [1000 * run.readings.shot_mass_kg for run in runs]
    if masses and max(masses) > MASSES_DIFFER * min(masses):
        return low_to_high(short(min(masses)), short(max(masses)))
    return _mean(masses, 0)


def _mean(figures: list[float], places: int) -> Message:
    return plain(fixed(sum(figures) / len(figures), places)) if figures else NONE


def spread(result: ClassResult) -> Table:
    """Each level's value where the class has several, else each bench's, from its counted runs."""
    levels = shown_levels(result)
    if levels:
        return Table(
            Message(N_("Value at each mass")),
            (MASS, Message(N_("benches")), CAPACITY),
            tuple(
                Line((plain(str(len(level.benches))), plain(level_value(level))), words=mass_words(level))
                for level in levels
            ),
        )
    lines = _bench_lines(result, lambda runs, summary: (plain(str(len(runs))), _value(runs, summary)))
    return Table(
        Message(N_("Value of each bench")),
        (BENCH, Message(N_("runs")), CAPACITY),
        lines,
        ("", "n", "J/(kg·K)"),
    )


def line(result: ClassResult) -> Table:
    """Each level's slope where the class has several, else each bench's mean energy and warming, from its
    counted runs."""
    levels = shown_levels(result)
    if levels:
        return Table(
            Message(N_("Warming for each kJ/kg of fall energy")),
            (MASS, Message(N_("K per kJ/kg"))),
            tuple(
                Line((plain(round_significant(kelvins_per_kJ_kg(level))),), words=mass_words(level))
                for level in levels
            ),
        )
    lines = _bench_lines(
        result,
        lambda runs, _: (
            _mean([run.specific_energy_J_per_kg / 1000 for run in runs], 3),
            _mean([run.warming_K for run in runs], 2),
        ),
    )
    return Table(
        Message(N_("Energy and warming, mean of each bench")),
        (BENCH, ENERGY, WARMING),
        lines,
        ("", "kJ/kg", "K"),
    )


def accepted(result: ClassResult) -> Table:
    """The class value against the accepted value."""
    pooled = result.class_value
    lines: list[Line] = []
    if pooled is not None:
        inside = {True: YES, False: NO, None: UNKNOWN}[pooled.accepted_inside_interval]
        error = (
            with_interval(pooled.percent_error, pooled.percent_error_interval)
            if pooled.percent_error_interval
            else percent(pooled.percent_error)
        )
        lines = [
            Line(
                (plain(short(pooled.accepted_J_per_kg_K, 6)),), words=Message(N_("accepted value / J/(kg·K)"))
            ),
            Line(
                (plain(with_interval(pooled.apparent_heat_capacity_J_per_kg_K, pooled.interval_95)),),
                words=Message(N_("class value / J/(kg·K)")),
            ),
            Line((_within(pooled.interval_95),), words=Message(N_("its 95 %% interval"))),
            Line((plain(error),), words=Message(N_("percent error / %%"))),
            Line((_within(pooled.percent_error_interval),), words=Message(N_("its 95 %% interval"))),
            Line((inside,), words=Message(N_("accepted value inside the interval"))),
        ]
    return Table(
        Message(N_("Class value and accepted value")),
        (Message(N_("quantity")), Message(N_("figure"))),
        tuple(lines),
    )


def _within(interval: Interval | None) -> Message:
    return UNKNOWN if interval is None else from_to(interval)


def separated(result: ClassResult) -> Table:
    """Each bench's mass and value."""
    lines = _bench_lines(
        result,
        lambda runs, summary: (_mass(runs), _value(runs, summary)),
    )
    return Table(
        Message(N_("Mass and value of each bench")), (BENCH, MASS, CAPACITY), lines, ("", "g", "J/(kg·K)")
    )


def ledger(result: ClassResult) -> Table:
    """The shares of the fall energy, and the heat sink itself."""
    lines = [Line((share_text(one.percent, one.u),), words=one.words) for one in energy_shares(result)]
    found = result.separated
    if found.identifiable and found.heat_sink_J_per_K is not None:
        lines.append(
            Line(
                (plain(with_interval(found.heat_sink_J_per_K, found.heat_sink_interval_95)),),
                words=Message(N_("heat sink / J/K")),
            )
        )
        lines.append(Line((_within(found.heat_sink_interval_95),), words=Message(N_("its 95 %% interval"))))
    return Table(Message(N_("Heat ledger")), (Message(N_("quantity")), Message(N_("figure"))), tuple(lines))


def energy_shares(result: ClassResult) -> list[Share]:
    """The ledger's lines; none without a ledger."""
    ledger = result.ledger
    if ledger is None:
        return []
    shot, sink, rest = ledger.percents
    lines = [Share("shot", SHOT, ledger.shot, ledger.u_shot, shot)]
    if ledger.heat_sink is not None:
        lines.append(Share("heat-sink", SINK, ledger.heat_sink, ledger.u_heat_sink, sink))
    lines.append(Share("unaccounted", REST, ledger.unaccounted, ledger.u_unaccounted, rest))
    return lines


def share_text(percent: int, u: float | None) -> Message:
    """A share of the energy in percent, with its standard uncertainty `u` (1 = all) where there is one."""
    value = signed(str(percent))
    points = "0" if u is None else whole(100 * u)
    if points == "0":
        return Message(N_("%(share)s %%"), {"share": value})
    return Message(N_("%(share)s %% ± %(u)s %%"), {"share": value, "u": points})


TABLES = {"spread": spread, "line": line, "accepted": accepted, "separated": separated, "ledger": ledger}
