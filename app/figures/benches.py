"""Runs by their bench, and values as the figures and their tables show them."""

from __future__ import annotations

from collections.abc import Iterable

from app.analysis.results import BenchSummary, RunResult


def runs_by_bench(runs: Iterable[RunResult]) -> dict[str, list[RunResult]]:
    """Each bench's runs by its name, in order of first appearance."""
    own: dict[str, list[RunResult]] = {}
    for run in runs:
        own.setdefault(run.readings.bench, []).append(run)
    return own


def counted(runs: Iterable[RunResult]) -> list[RunResult]:
    """Those that were not set aside."""
    return [run for run in runs if not run.readings.set_aside]


def counted_or_all(runs: Iterable[RunResult]) -> list[RunResult]:
    """The counted ones, where there are some: what a view is made for."""
    every = list(runs)
    return counted(every) or every


def value_of(run: RunResult) -> float:
    """Its apparent specific heat capacity in J/(kg·K). Domain: a run that has one."""
    assert run.apparent_heat_capacity_J_per_kg_K is not None
    return run.apparent_heat_capacity_J_per_kg_K


def value_of_bench(runs: Iterable[RunResult], summary: BenchSummary | None) -> float | None:
    """The bench's value from its counted runs in J/(kg·K); where one of them has none, the others' mean."""
    values = [run.apparent_heat_capacity_J_per_kg_K for run in runs]
    known = [value for value in values if value is not None]
    if known and len(known) < len(values):
        return sum(known) / len(known)
    return None if summary is None else summary.apparent_heat_capacity_J_per_kg_K
