"""The numbers of each figure as a table, for readers of numbers and for those who cannot see it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.analysis.results import BenchSummary, ClassResult, RunResult
from app.figures.numbers import ends, percent, plain, with_interval, with_u
from app.figures.shares import entries, share_text
from app.physics.rounding import fixed, short
from app.words import N_, Message

NONE = Message("–")
BENCH = Message(N_("bench"))
CAPACITY = Message(N_("J/(kg·K)"))
ENERGY = Message(N_("kJ/kg"))
WARMING = Message(N_("warming / K"))
MASS = Message(N_("mass / g"))
WITHIN = Message(N_("%(low)s to %(high)s"))
YES, NO, UNKNOWN = Message(N_("yes")), Message(N_("no")), Message(N_("cannot be said yet"))


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


def table(name: str, result: ClassResult) -> Table:
    """The table of a figure by its name. KeyError for an unknown one."""
    return TABLES[name](result)


def _bench_lines(
    result: ClassResult, numbers: Callable[[list[RunResult], BenchSummary | None], tuple[Message, ...]]
) -> tuple[Line, ...]:
    summaries = {summary.bench: summary for summary in result.benches}
    own: dict[str, list[RunResult]] = {}
    for run in result.runs:
        own.setdefault(run.readings.bench, []).append(run)
    names = sorted(own, key=lambda name: (not name.isdigit(), int(name) if name.isdigit() else 0, name))
    return tuple(
        Line(
            numbers([run for run in own[name] if not run.readings.set_aside], summaries.get(name)),
            bench=name,
            hollow=all(run.readings.set_aside for run in own[name]),
            ringed=any(run.flags for run in own[name]),
        )
        for name in names
    )


def _value(summary: BenchSummary | None) -> Message:
    if summary is None or summary.apparent_heat_capacity_J_per_kg_K is None:
        return NONE
    return plain(with_u(summary.apparent_heat_capacity_J_per_kg_K, summary.standard_uncertainty_J_per_kg_K))


def _mean(figures: list[float], places: int) -> Message:
    return plain(fixed(sum(figures) / len(figures), places)) if figures else NONE


def spread(result: ClassResult) -> Table:
    """Each bench's value, from its counted runs."""
    lines = _bench_lines(result, lambda runs, summary: (plain(str(len(runs))), _value(summary)))
    return Table(
        Message(N_("Value of each bench")),
        (BENCH, Message(N_("runs")), CAPACITY),
        lines,
        ("", "n", "J/(kg·K)"),
    )


def line(result: ClassResult) -> Table:
    """Each bench's mean energy and warming, from its counted runs."""
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


def _within(interval: tuple[float, float] | None) -> Message:
    if interval is None:
        return UNKNOWN
    low, high = ends(interval)
    return Message(WITHIN.template, {"low": low, "high": high})


def separated(result: ClassResult) -> Table:
    """Each bench's mass and value."""
    lines = _bench_lines(
        result,
        lambda runs, summary: (_mean([1000 * run.readings.shot_mass_kg for run in runs], 0), _value(summary)),
    )
    return Table(
        Message(N_("Mass and value of each bench")), (BENCH, MASS, CAPACITY), lines, ("", "g", "J/(kg·K)")
    )


def ledger(result: ClassResult) -> Table:
    """The shares of the fall energy, and the heat sink itself."""
    lines = [Line((share_text(one.percent, one.u),), words=one.words) for one in entries(result)]
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


TABLES = {"spread": spread, "line": line, "accepted": accepted, "separated": separated, "ledger": ledger}
