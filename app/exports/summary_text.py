"""A class's result as plain lines for a terminal, in one of our languages."""

from __future__ import annotations

from collections.abc import Sequence

from app.analysis.methods import POOLED, method_said
from app.analysis.of_the_fit import ClassBudgetLine
from app.analysis.results import ClassResult, ClassValue, Interval, PooledEstimate, RunResult, Separated
from app.physics.rounding import (
    percent_error,
    round_interval,
    round_significant,
    value_and_u,
    value_in_interval,
)
from app.translations.saying import decimal_mark, said_in
from app.words import N_, Message

INSIDE = N_("the accepted value lies inside the interval")
OUTSIDE = N_("the accepted value lies outside the interval")


def summary_text(result: ClassResult, language: str = "en") -> str:
    """The readable summary: runs, class value, spread, separated heat, ledger, warnings."""
    summary = _Summary(language)
    sections = [
        summary.runs(result.runs),
        summary.class_value(result),
        summary.spread(result),
        summary.separated(result.separated),
    ]
    if result.class_budget:
        sections.append(summary.budget(result.class_budget))
    if result.ledger is not None:
        sections.append(summary.section(N_("Heat ledger"), [result.ledger.note]))
    if result.could_still_be_wrong:
        sections.append(summary.section(N_("What could still be wrong"), result.could_still_be_wrong))
    if result.warnings:
        sections.append(summary.section(N_("Please note"), result.warnings))
    return "\n\n".join("\n".join(section) for section in sections) + "\n"


class _Summary:
    """The sections, each as its lines."""

    def __init__(self, language: str) -> None:
        self.language = language

    def say(self, template: str, **values: str) -> str:
        return said_in(self.language, Message(template, values))

    def message(self, message: Message | None) -> str:
        return "" if message is None else said_in(self.language, message)

    def figure(self, text: str) -> str:
        """A figure in the language's decimal mark."""
        return text.replace(".", decimal_mark(self.language))

    def section(self, title: str, messages: Sequence[Message]) -> list[str]:
        return [self.say(title), *(f"  {self.message(message)}" for message in messages)]

    def runs(self, runs: Sequence[RunResult]) -> list[str]:
        lines = [
            self.say(N_("Runs (%(count)s): apparent specific heat capacity, J/(kg·K)"), count=str(len(runs)))
        ]
        labels = [
            self.say(N_("bench %(bench)s, run %(run)s"), bench=run.readings.bench, run=run.readings.run)
            for run in runs
        ]
        width = max(map(len, labels), default=0)
        for label, run in zip(labels, runs, strict=True):
            aside = f"  {self.say(N_('(set aside)'))}" if run.readings.set_aside else ""
            lines.append(f"  {label:<{width}}  {self.apparent(run)}{aside}")
            notes = [run.interval_absent_because, *(flag.reason for flag in run.flags)]
            if run.suspected_slip is not None:
                notes.append(run.suspected_slip.sentence)
            lines.extend(f"  {'':<{width}}    {self.message(note)}" for note in notes if note is not None)
        return lines

    def apparent(self, run: RunResult) -> str:
        value, u = run.apparent_heat_capacity_J_per_kg_K, run.standard_uncertainty_J_per_kg_K
        if value is None or u is None:
            return self.message(run.absent_because)
        return self.figure(value_and_u(value, u))

    def class_value(self, result: ClassResult) -> list[str]:
        value = result.class_value
        if value is None:
            absent = result.class_value_absent_because
            return self.section(N_("Class value"), [] if absent is None else [absent])
        apparent, interval = value.apparent_heat_capacity_J_per_kg_K, value.interval_95
        lines = [
            self.say(
                N_("Class value (benches: %(benches)s, runs: %(runs)s)"),
                benches=str(value.benches),
                runs=str(value.runs),
            ),
            "  " + self.in_interval(apparent, "J/(kg·K)", interval),
            "  "
            + self.say(
                N_("accepted value %(value)s J/(kg·K) (%(typed)s); percent error %(error)s"),
                value=round_significant(value.accepted_J_per_kg_K, 4),
                typed=result.settings.accepted_source or result.settings.material,
                error=self.percent(value),
            ),
        ]
        if value.accepted_inside_interval is not None:
            lines.append("  " + self.say(INSIDE if value.accepted_inside_interval else OUTSIDE))
        lines.append("  " + self.say(N_("method: %(name)s"), name=self.message(method_said(value.method))))
        names = [
            self.message(POOLED[one.method]) if one.method in POOLED else one.method
            for one in result.estimates
        ]
        width = max((18, *map(len, names)))
        return lines + [
            f"    {name:<{width}} {self.pooled(one)}"
            for name, one in zip(names, result.estimates, strict=True)
        ]

    def pooled(self, estimate: PooledEstimate) -> str:
        between = round_significant(estimate.between_bench_sd_J_per_kg_K, 2)
        value = self.figure(round_significant(estimate.apparent_heat_capacity_J_per_kg_K, 4))
        if estimate.interval_95 is None:
            return f"{value}  " + self.say(N_("(no interval; between benches %(sd)s)"), sd=between)
        return f"{value}  " + self.say(
            N_("(95 %% %(interval)s; between benches %(sd)s)"),
            interval=self.ends(estimate.interval_95),
            sd=between,
        )

    def in_interval(self, value: float, unit: str, interval: Interval | None) -> str:
        if interval is None:
            return self.say(
                N_("%(value)s %(unit)s, no interval"), value=round_significant(value, 3), unit=unit
            )
        return self.say(
            N_("%(value)s %(unit)s, 95 %% interval %(interval)s"),
            value=value_in_interval(value, interval, 4),
            unit=unit,
            interval=self.ends(interval),
        )

    def ends(self, interval: Interval) -> str:
        if not interval[0] < interval[1]:
            return self.figure(round_significant(interval[0], 4))
        low, high = round_interval(*interval)
        return self.say(N_("%(low)s to %(high)s"), low=low, high=high)

    def percent(self, value: ClassValue) -> str:
        interval, error = value.percent_error_interval, percent_error(value.percent_error)
        if interval is None or not interval[0] < interval[1]:
            return self.say(N_("%(error)s %%"), error=error)
        low, high = map(percent_error, interval)
        return self.say(
            N_("%(error)s %% (95 %% interval %(low)s %% to %(high)s %%)"), error=error, low=low, high=high
        )

    def budget(self, lines: tuple[ClassBudgetLine, ...]) -> list[str]:
        """The largest first, with what would help against it."""
        return [
            self.say(N_("Where its uncertainty comes from")),
            *(
                f"  {self.figure(round_significant(line.standard_uncertainty_J_per_kg_K, 2)):>6} J/(kg·K)"
                f"  {100 * line.share_of_variance:3.0f} %  {self.message(line.name)}"
                for line in lines
            ),
            f"  {self.say(N_('What would help most:'))} {self.message(lines[0].advice)}",
        ]

    def spread(self, result: ClassResult) -> list[str]:
        spread = result.spread
        named = [
            (self.say(N_("repeatability (within a bench)")), spread.repeatability_sd),
            (self.say(N_("between benches")), spread.between_bench_sd),
            (self.say(N_("reproducibility (both)")), spread.reproducibility_sd),
        ]
        width = max(32, *(len(name) for name, _ in named))
        unknown = self.say(N_("unknown"))
        lines = [self.say(N_("Spread, J/(kg·K)"))]
        for name, sd in named:
            said = unknown if sd is None else self.figure(round_significant(sd, 2))
            lines.append(f"  {name:<{width}} {said}")
        return lines + ([] if spread.reason is None else [f"  {self.message(spread.reason)}"])

    def separated(self, apart: Separated) -> list[str]:
        lines = self.section(N_("Shot and heat sink apart"), [apart.reason])
        sentence = N_("specific heat capacity of the shot %(figure)s")
        shot = self.fitted(sentence, "J/(kg·K)", apart.heat_capacity_J_per_kg_K, apart.interval_95)
        if shot and apart.percent_error is not None:
            error = self.say(
                N_("percent error %(error)s %%; %(where)s"),
                error=percent_error(apart.percent_error),
                where=self.say(INSIDE if apart.accepted_inside_interval else OUTSIDE),
            )
            shot.append(f"  {error}")
        sentence = N_("heat sink %(figure)s")
        sink = self.fitted(sentence, "J/K", apart.heat_sink_J_per_K, apart.heat_sink_interval_95)
        sentence, unit = N_("heat leak %(figure)s"), self.say(N_("J/K per inversion"))
        leak = self.fitted(sentence, unit, apart.heat_leak_J_per_K_per_inversion, apart.heat_leak_interval_95)
        if not leak and apart.heat_leak_absent_because is not None:
            leak = [f"  {self.message(apart.heat_leak_absent_because)}"]
        return [*lines, *shot, *sink, *leak]

    def fitted(self, sentence: str, unit: str, value: float | None, interval: Interval | None) -> list[str]:
        """A line for a figure of the fit, which has it only together with its interval."""
        if value is None or interval is None:
            return []
        return ["  " + self.say(sentence, figure=self.in_interval(value, unit, interval))]
