"""Whether a plan's class can tell the shot from its sink, by the rule with which the fit decides it."""

from __future__ import annotations

from app.analysis.fit.design import (
    LARGEST_HALF_WIDTH,
    LEAST_BENCHES,
    bench_masses_kg,
    half_in_words,
    half_width_of_design,
    mass_levels,
)
from app.analysis.fit.linear import Layout
from app.analysis.fit.model import Priors
from app.words import N_, Message


def why_not_separated(heat_capacity: float, plan: Layout) -> Message | None:
    """Why the fit of a class with this plan will not tell the shot from its sink; None where it will."""
    masses_kg = bench_masses_kg(plan)
    if len(masses_kg) < LEAST_BENCHES:
        return Message(N_("At least four benches are needed to tell the shot from the heat sink."))
    half = half_width_of_design(plan, heat_capacity, Priors())
    if half <= LARGEST_HALF_WIDTH:
        return None
    if mass_levels(masses_kg) == 1:
        return Message(
            N_(
                "With the same mass everywhere the shot and the heat sink cannot be told apart: "
                "give at least three benches about half the mass."
            )
        )
    return Message(
        N_(
            "With masses as near to one another as these, or so few falls, the specific heat capacity would "
            "be uncertain by about %(half)s %%: the shot and the heat sink cannot be told apart. Spread the "
            "masses further, or make more inversions."
        ),
        {"half": half_in_words(half)},
    )
