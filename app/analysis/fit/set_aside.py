"""What the result becomes if this run, or this bench, is set aside: the same draws, weighted anew.

A run that is unlike the others says nothing about the class (`model`): its likelihood does not depend on the
parameters. Setting a run aside is therefore the same as conditioning on its being unlike, and each draw's new
weight is its old one times the probability, in that draw, that the run is unlike the others. Nothing is
fitted again, unless the two posteriors overlap too little, or the bench has so many runs that not all of its
cases are listed.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

import numpy as np

from app.analysis.fit.class_fit import NO_RUN, ClassFit, NotFitted, class_fit
from app.analysis.fit.stacked import MOST_CANDIDATES
from app.statistics.posterior import TooFewEffectiveDraws

LEAST_SHARE_LEFT = 0.05  # our own choice
"""With a smaller effective share after weighting anew the class is fitted again."""


def without_run(fit: ClassFit, position: int) -> ClassFit | NotFitted:
    """The fit as it is with this run set aside, or why there is none.

    `position` is the run's among all runs given; a run that is not counted changes nothing.
    """
    return _without(fit, {position})


def without_bench(fit: ClassFit, bench: str) -> ClassFit | NotFitted:
    """The fit as it is with all runs of this bench set aside, or why there is none."""
    return _without(fit, {i for i, run in enumerate(fit.columns.runs) if run.bench == bench})


def refitted_without(fit: ClassFit, positions: Set[int]) -> ClassFit | NotFitted:
    """The class fitted again without these runs."""
    runs = [replace(run, set_aside=True) if i in positions else run for i, run in enumerate(fit.columns.runs)]
    return class_fit(runs, fit.settings, fit.model.priors, len(fit.draws.weights), fit.thermometer_steps_K)


def _without(fit: ClassFit, positions: Set[int]) -> ClassFit | NotFitted:
    counted = {int(i) for stack in fit.stacks for i in stack.run.ravel()}
    taken = (positions & counted) - fit.left_out
    if not taken:
        return fit
    if counted <= fit.left_out | taken:
        return NO_RUN
    sizes = {stack.run.shape[1] for stack in fit.stacks if np.isin(stack.run, list(taken)).any()}
    if max(sizes) > MOST_CANDIDATES:
        return refitted_without(fit, fit.left_out | taken)
    changed = replace(fit, left_out=fit.left_out | frozenset(taken))
    log_ratio = changed.log_likelihood - fit.log_likelihood
    try:
        draws = fit.draws.reweighted(np.exp(log_ratio - log_ratio.max()))
    except TooFewEffectiveDraws:
        return refitted_without(fit, fit.left_out | taken)
    if draws.effective_share < LEAST_SHARE_LEFT:
        return refitted_without(fit, fit.left_out | taken)
    return replace(changed, draws=draws)
