"""What the result becomes if this run, or this bench, is set aside: the same draws, weighted anew.

A run that is unlike the others says nothing about the class (`model`): its likelihood does not depend on the
parameters. Setting a run aside is therefore the same as conditioning on its being unlike, and each draw's new
weight is its old one times the probability, in that draw, that the run is unlike the others. Nothing is
fitted again, unless the two posteriors overlap too little, or it is not among the cases of a bench that just
these of its runs are unlike.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

import numpy as np

from app.analysis.fit.class_fit import NO_RUN, ClassFit, NotFitted, class_fit
from app.analysis.fit.stacked import MOST_CANDIDATES, Stack
from app.statistics.domain import Floats
from app.statistics.posterior import Draws, TooFewEffectiveDraws

LEAST_SHARE_LEFT = 0.05  # our own choice
"""With a smaller effective share after weighting anew the class is fitted again."""


def without_run(fit: ClassFit, position: int) -> ClassFit | NotFitted:
    """The fit as it is with this run set aside, or why there is none.

    `position` is the run's among all runs given; a run that is not counted changes nothing.
    """
    return without_runs(fit, {position})


def without_bench(fit: ClassFit, bench: str) -> ClassFit | NotFitted:
    """The fit as it is with all runs of this bench set aside, or why there is none."""
    return without_runs(fit, {i for i, run in enumerate(fit.columns.runs) if run.bench == bench})


def refitted_without(fit: ClassFit, positions: Set[int]) -> ClassFit | NotFitted:
    """The class fitted again without these runs."""
    runs = [replace(run, set_aside=True) if i in positions else run for i, run in enumerate(fit.columns.runs)]
    return class_fit(runs, fit.settings, fit.model.priors, len(fit.draws.weights))


def without_runs(fit: ClassFit, positions: Set[int]) -> ClassFit | NotFitted:
    """The fit as it is with all of these runs set aside, or why there is none."""
    counted = {int(i) for stack in fit.stacks for i in stack.run.ravel()}
    taken = (positions & counted) - fit.left_out
    if not taken:
        return fit
    if counted <= fit.left_out | taken:
        return NO_RUN
    if not all(_is_a_case(stack, fit.left_out | taken) for stack in fit.stacks):
        return refitted_without(fit, fit.left_out | taken)
    changed = replace(fit, left_out=fit.left_out | frozenset(taken))
    draws = reweighted(fit.draws, changed.log_likelihood - fit.log_likelihood)
    return refitted_without(fit, changed.left_out) if draws is None else replace(changed, draws=draws)


def reweighted(draws: Draws, log_ratio: Floats) -> Draws | None:
    """The draws for a posterior exp(log_ratio) times theirs; None where the two overlap too little."""
    try:
        changed = draws.reweighted(np.exp(log_ratio - log_ratio.max()))
    except TooFewEffectiveDraws:
        return None
    return changed if changed.effective_share >= LEAST_SHARE_LEFT else None


def _is_a_case(stack: Stack, left_out: Set[int]) -> bool:
    """Whether it is among each bench's cases that exactly these of its runs are unlike the others, and the
    cases beside it are listed too."""
    out = np.isin(stack.run, list(left_out))
    if not out.any():
        return True
    of_a_bench = (~out[:, None, :] == (stack.alike > 0.0)).all(axis=2).any(axis=1)
    return stack.run.shape[1] <= MOST_CANDIDATES and bool(of_a_bench.all())
