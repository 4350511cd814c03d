"""A class's result as plain lines for a terminal."""

from __future__ import annotations

from app.analysis.of_the_fit import ClassBudgetLine
from app.analysis.results import ClassResult, ClassValue, Interval, RunResult, Separated
from app.physics.rounding import (
    percent_error,
    round_interval,
    round_significant,
    value_and_u,
    value_in_interval,
)


def summary_text(result: ClassResult) -> str:
    """The readable summary: runs, class value, spread, separated heat, ledger, warnings."""
    sections = [
        _runs(result),
        _class(result),
        _spread(result),
        _separated("Shot and heat sink apart", result.separated),
    ]
    if result.class_budget:
        sections.append(_budget(result.class_budget))
    if result.ledger is not None:
        sections.append(["Heat ledger", f"  {result.ledger.note}"])
    if result.could_still_be_wrong:
        sections.append(["What could still be wrong", *(f"  {one}" for one in result.could_still_be_wrong)])
    if result.warnings:
        sections.append(["Please note", *(f"  {warning}" for warning in result.warnings)])
    return "\n\n".join("\n".join(section) for section in sections) + "\n"


def _runs(result: ClassResult) -> list[str]:
    lines = [f"Runs ({len(result.runs)}): apparent specific heat capacity, J/(kg·K)"]
    width = max((len(_label(run)) for run in result.runs), default=0)
    for run in result.runs:
        aside = "  (set aside)" if run.readings.set_aside else ""
        lines.append(f"  {_label(run):<{width}}  {_apparent(run)}{aside}")
        if run.interval_absent_because is not None:
            lines.append(f"  {'':<{width}}    {run.interval_absent_because}")
        lines.extend(f"  {'':<{width}}    {flag.reason}" for flag in run.flags)
        if run.suspected_slip is not None:
            lines.append(f"  {'':<{width}}    {run.suspected_slip.sentence}")
    return lines


def _label(run: RunResult) -> str:
    return f"bench {run.readings.bench}, run {run.readings.run}"


def _apparent(run: RunResult) -> str:
    value, u = run.apparent_heat_capacity_J_per_kg_K, run.standard_uncertainty_J_per_kg_K
    if value is None or u is None:
        return str(run.absent_because)
    return value_and_u(value, u)


def _class(result: ClassResult) -> list[str]:
    value = result.class_value
    if value is None:
        return ["Class value", f"  {result.class_value_absent_because}"]
    lines = [
        f"Class value (benches: {value.benches}, runs: {value.runs})",
        f"  {_with_interval(value)}",
        f"  accepted value {round_significant(value.accepted_J_per_kg_K, 4)} J/(kg·K)"
        f" ({result.settings.accepted_source or result.settings.material}); percent error {_percent(value)}",
    ]
    if value.accepted_inside_interval is not None:
        inside = "inside" if value.accepted_inside_interval else "outside"
        lines.append(f"  the accepted value lies {inside} the interval")
    lines.append(f"  method: {value.method}")
    for estimate in result.estimates:
        interval = estimate.interval_95
        beside = "no interval" if interval is None else f"95 % {_ends(interval)}"
        lines.append(
            f"    {estimate.method:<18} {round_significant(estimate.apparent_heat_capacity_J_per_kg_K, 4)}"
            f"  ({beside}; between benches {round_significant(estimate.between_bench_sd_J_per_kg_K, 2)})"
        )
    return lines


def _with_interval(value: ClassValue) -> str:
    apparent, interval = value.apparent_heat_capacity_J_per_kg_K, value.interval_95
    if interval is None:
        return f"{round_significant(apparent, 3)} J/(kg·K), no interval"
    return _figure(apparent, "J/(kg·K)", interval)


def _figure(value: float, unit: str, interval: Interval) -> str:
    return f"{value_in_interval(value, interval, 4)} {unit}, 95 % interval {_ends(interval)}"


def _budget(lines: tuple[ClassBudgetLine, ...]) -> list[str]:
    """The largest first, with what would help against it."""
    return [
        "Where its uncertainty comes from",
        *(
            f"  {round_significant(line.standard_uncertainty_J_per_kg_K, 2):>6} J/(kg·K)"
            f"  {100 * line.share_of_variance:3.0f} %  {line.name}"
            for line in lines
        ),
        f"  What would help most: {lines[0].advice}",
    ]


def _percent(value: ClassValue) -> str:
    interval = value.percent_error_interval
    if interval is None or not interval[0] < interval[1]:
        return f"{percent_error(value.percent_error)} %"
    low, high = map(percent_error, interval)
    return f"{percent_error(value.percent_error)} % (95 % interval {low} % to {high} %)"


def _ends(interval: Interval) -> str:
    if not interval[0] < interval[1]:
        return round_significant(interval[0], 4)
    return " to ".join(round_interval(*interval))


def _spread(result: ClassResult) -> list[str]:
    spread = result.spread
    lines = ["Spread, J/(kg·K)"]
    for name, sd in (
        ("repeatability (within a bench)", spread.repeatability_sd),
        ("between benches", spread.between_bench_sd),
        ("reproducibility (both)", spread.reproducibility_sd),
    ):
        lines.append(f"  {name:<32} {'unknown' if sd is None else round_significant(sd, 2)}")
    if spread.reason is not None:
        lines.append(f"  {spread.reason}")
    return lines


def _separated(title: str, apart: Separated) -> list[str]:
    lines = [title, f"  {apart.reason}"]
    c, interval = apart.heat_capacity_J_per_kg_K, apart.interval_95
    sink, sink_interval = apart.heat_sink_J_per_K, apart.heat_sink_interval_95
    if c is not None and interval is not None:
        lines.append(f"  specific heat capacity of the shot {_figure(c, 'J/(kg·K)', interval)}")
        if apart.percent_error is not None:
            inside = "inside" if apart.accepted_inside_interval else "outside"
            lines.append(
                f"  percent error {percent_error(apart.percent_error)} %;"
                f" the accepted value lies {inside} the interval"
            )
    if sink is not None and sink_interval is not None:
        lines.append(f"  heat sink {_figure(sink, 'J/K', sink_interval)}")
    leak, leak_interval = apart.heat_leak_J_per_K_per_inversion, apart.heat_leak_interval_95
    if leak is not None and leak_interval is not None:
        lines.append(f"  heat leak {_figure(leak, 'J/K per inversion', leak_interval)}")
    elif apart.heat_leak_absent_because is not None:
        lines.append(f"  {apart.heat_leak_absent_because}")
    return lines
