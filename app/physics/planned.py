"""The counts that a plan gives the runs of one bench, and its own number beside the class's and its piece's.

A plan gives every run one count, or its second run another one (about half): two counts of one bench show its
heat leak and give a line of warming against fall energy its two ends.
"""

from __future__ import annotations

from decimal import Decimal
from math import log

OTHER_RUN = 2
"""The run that has the second count: one that every bench reaches (our own choice)."""


def count_of_run(inversions: int, second_inversions: int | None, run: int) -> int:
    """The count planned for the run of this number, the first being 1."""
    return second_inversions if run == OTHER_RUN and second_inversions is not None else inversions


def counts_of_runs(inversions: int, second_inversions: int | None, runs: int) -> tuple[int, ...]:
    """The counts of a bench's first runs, in their order."""
    return tuple(count_of_run(inversions, second_inversions, run) for run in range(1, runs + 1))


def nearest_count(inversions: int, second_inversions: int | None, made: float) -> int:
    """The planned count that a count made is meant to be: the nearer one by its factor, since a run that was
    done again, or in another order, is not known by its number."""
    if second_inversions is None or made <= 0:
        return inversions
    return min((inversions, second_inversions), key=lambda count: abs(log(made / count)))


def about_half(inversions: int) -> int:
    """What is offered as the second count: half, to the nearest five where it is more than 20 (our own
    choice)."""
    half = inversions / 2
    return max(1, 5 * round(half / 5) if half > 20 else round(half))


def typed_else(of_bench: Decimal | None, of_class: Decimal, of_piece: Decimal | None) -> Decimal | None:
    """What was typed for a bench, else what its piece of kit has; the class's own number was not typed."""
    return of_bench if of_piece is None or of_bench not in (None, of_class) else of_piece
