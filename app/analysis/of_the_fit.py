"""What the class's fit says of itself: its budget, what its priors do, and how odd runs and benches are."""

from __future__ import annotations

from dataclasses import dataclass

from app.words import Message

ODD_FROM = 0.5  # our own choice
"""A run or a bench is odd where it is more probably unlike the others than not."""


@dataclass(frozen=True)
class WithWiderPriors:
    """Medians and 95 % intervals with a prior twice as wide, and by what percentage the medians move."""

    specific_heat_J_per_kg_K: float
    specific_heat_interval_95: tuple[float, float]
    specific_heat_moves_percent: float
    class_value_J_per_kg_K: float
    class_value_interval_95: tuple[float, float]
    class_value_moves_percent: float


@dataclass(frozen=True)
class ClassBudgetLine:
    """One source of the uncertainty of a class's figure; the shares of a budget add up to 1."""

    source: str
    name: Message
    standard_uncertainty_J_per_kg_K: float
    share_of_variance: float
    advice: Message


@dataclass(frozen=True)
class MassLevel:
    """Benches with about the same mass, in order of first appearance, and what the class's model says of
    them."""

    mass_kg: float
    """The median of the benches' masses."""
    benches: tuple[str, ...]
    apparent_heat_capacity_J_per_kg_K: float
    interval_95: tuple[float, float] | None


@dataclass(frozen=True)
class Oddness:
    """Probabilities from 0 to 1; None for a run or bench that is not in the fit."""

    runs: tuple[float | None, ...]
    """One for each run given, in that order."""
    benches: tuple[float | None, ...]
    """One for each bench, in order of first appearance."""

    def is_odd_run(self, position: int) -> bool:
        probability = self.runs[position]
        return probability is not None and probability > ODD_FROM

    def is_odd_bench(self, position: int) -> bool:
        probability = self.benches[position]
        return probability is not None and probability > ODD_FROM
