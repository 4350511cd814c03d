"""The heat leak to the room, from the same draws: it is in the fit whenever a room temperature is known."""

from __future__ import annotations

from dataclasses import dataclass

from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.quantities import heat_leak
from app.analysis.results import Interval
from app.words import N_, Message


@dataclass(frozen=True)
class Leak:
    """λ in J/K per inversion; None, with the reason, where it is not in the fit."""

    per_inversion_J_per_K: float | None
    interval_95: Interval | None
    absent_because: Message | None = None


def leak(fit: ClassFit) -> Leak:
    """The leak with its interval, or why there is none."""
    if not fit.model.with_leak:
        return Leak(
            None,
            None,
            Message(
                N_(
                    "No room temperature is known, so a heat leak to the room is not in this result. One "
                    "reading in the room is enough."
                )
            ),
        )
    found = heat_leak(fit)
    return Leak(fit.draws.median(found), fit.draws.interval_95(found))
