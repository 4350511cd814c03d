"""The few figures of a result that lists, comparisons and pools are made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from app.analysis.figure import Figure
from app.analysis.results import ClassResult, finite
from app.records.models import KeptResult


@dataclass(frozen=True)
class Figures:
    """Of one result, in J/(kg·K) and J/K; None where the result does not have it."""

    class_value: Figure | None
    specific_heat: Figure | None
    heat_sink: Figure | None
    accepted_J_per_kg_K: float
    benches: int
    runs: int

    @property
    def percent_error(self) -> float | None:
        """How far the class value lies from the accepted one."""
        if self.class_value is None:
            return None
        return 100 * (self.class_value.value / self.accepted_J_per_kg_K - 1)


def figures_of(result: ClassResult) -> Figures:
    """Of a result that was just worked out."""
    value, apart = result.class_value, result.separated
    told_apart = apart.identifiable
    return Figures(
        class_value=None
        if value is None
        else _figure(value.apparent_heat_capacity_J_per_kg_K, value.interval_95),
        specific_heat=_figure(apart.heat_capacity_J_per_kg_K, apart.interval_95) if told_apart else None,
        heat_sink=_figure(apart.heat_sink_J_per_K, apart.heat_sink_interval_95) if told_apart else None,
        accepted_J_per_kg_K=result.settings.accepted_J_per_kg_K,
        benches=0 if value is None else value.benches,
        runs=0 if value is None else value.runs,
    )


def figures_in(row: KeptResult | Row[Any]) -> Figures:
    """Of a result that was kept: its row, or one with `FIGURE_COLUMNS` in it."""
    return Figures(
        class_value=_figure(row.class_value_J_per_kg_K, (row.class_value_low, row.class_value_high)),
        specific_heat=_figure(row.specific_heat_J_per_kg_K, (row.specific_heat_low, row.specific_heat_high)),
        heat_sink=_figure(row.heat_sink_J_per_K, (row.heat_sink_low, row.heat_sink_high)),
        accepted_J_per_kg_K=row.accepted_J_per_kg_K,
        benches=row.benches,
        runs=row.runs,
    )


def columns_of(figures: Figures) -> dict[str, float | int | None]:
    """The same as columns of its row."""
    return {
        **_columns("class_value", "J_per_kg_K", figures.class_value),
        **_columns("specific_heat", "J_per_kg_K", figures.specific_heat),
        **_columns("heat_sink", "J_per_K", figures.heat_sink),
        "accepted_J_per_kg_K": figures.accepted_J_per_kg_K,
        "benches": figures.benches,
        "runs": figures.runs,
    }


def _columns(name: str, unit: str, figure: Figure | None) -> dict[str, float | int | None]:
    low, high = (None, None) if figure is None or figure.interval is None else figure.interval
    return {
        f"{name}_{unit}": None if figure is None else figure.value,
        f"{name}_low": low,
        f"{name}_high": high,
    }


def _figure(value: float | None, interval: tuple[float | None, float | None] | None) -> Figure | None:
    value = finite(value)
    if value is None:
        return None
    low, high = (None, None) if interval is None else map(finite, interval)
    return Figure(value, None if low is None or high is None else (low, high))


FIGURE_COLUMNS = tuple(columns_of(Figures(None, None, None, 1.0, 0, 0)))
"""The columns of a kept result that hold its figures."""
