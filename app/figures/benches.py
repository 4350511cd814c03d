"""A bench's value as the figures and their tables show it."""

from __future__ import annotations

from collections.abc import Iterable

from app.analysis.results import BenchSummary, ClassResult, RunResult


def counted_runs(result: ClassResult) -> dict[str, list[RunResult]]:
    """Each bench's counted runs, by its name, in order of first appearance; a bench without any has none."""
    own: dict[str, list[RunResult]] = {}
    for run in result.runs:
        own.setdefault(run.readings.bench, []).extend([] if run.readings.set_aside else [run])
    return own


def value_of_bench(runs: Iterable[RunResult], summary: BenchSummary | None) -> float | None:
    """The bench's value from its counted runs in J/(kg·K); where one of them has none, the others' mean."""
    values = [run.apparent_heat_capacity_J_per_kg_K for run in runs]
    known = [value for value in values if value is not None]
    if known and len(known) < len(values):
        return sum(known) / len(known)
    return None if summary is None else summary.apparent_heat_capacity_J_per_kg_K
