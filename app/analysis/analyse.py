"""A class's runs in, everything there is to say about them out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice
from typing import NamedTuple

import numpy as np

from app.analysis.bench_table import BenchTable, bench_table
from app.analysis.columns import Columns, columns
from app.analysis.doubt.flags import A_WARM_TUBE_EXPLAINS, flag_runs, how_odd
from app.analysis.doubt.inputs import Inputs
from app.analysis.doubt.slips import suspected_slip
from app.analysis.doubt.warm_tube import of_warm_tubes
from app.analysis.fit.allowance import one_allowance
from app.analysis.fit.budget import class_budget
from app.analysis.fit.class_fit import ClassFit, NotFitted, fit_columns
from app.analysis.fit.estimates import estimates
from app.analysis.fit.heat_ledger import heat_ledger
from app.analysis.fit.levels import levels_of_mass
from app.analysis.fit.oddness import Oddness
from app.analysis.fit.prior_effect import with_wider_priors
from app.analysis.fit.quantities import technique_of_a_run
from app.analysis.fit.set_aside import without_runs
from app.analysis.fit.stacked import room_of_class
from app.analysis.fit.tube_start import tubes_elsewhere
from app.analysis.if_decided import Outcome, outcome_of
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import (
    BenchSummary,
    ClassBudgetLine,
    ClassResult,
    Flag,
    HeatLedger,
    MassLevel,
    SuspectedSlip,
    WithWiderPriors,
)
from app.analysis.views.line import line_fit
from app.analysis.views.runs import run_results
from app.analysis.views.spread import BenchScatter, bench_scatter
from app.analysis.views.warnings import warnings_for
from app.statistics.linear_algebra import one_thread
from app.words import Message

MOST_SOUGHT = 120
"""In so many flagged runs a slip is sought: every run of a large class (our own choice). Each takes some
hundredths of a second, and where more are flagged it is no slip of the pen that is wrong with the class."""


def analyse_class(runs: Sequence[RunReadings], settings: ClassSettings) -> ClassResult:
    """The whole analysis of one class; runs set aside are worked out and compared, but not counted.

    Works for any finite readings and any number of runs, none included. Never raises for odd
    readings: what cannot be said is None with a reason.
    """
    with np.errstate(all="ignore"), one_thread():
        return _analyse(runs, settings)


def _analyse(runs: Sequence[RunReadings], settings: ClassSettings) -> ClassResult:
    cols = columns(runs, settings)
    table = bench_table(cols, settings)
    fit = fit_columns(cols, settings)
    found = outcome_of(fit)
    about = _about(fit, found)
    scatter = bench_scatter(cols, table, len(about.levels) > 1)
    inputs, odd = Inputs(cols), how_odd(fit, cols)
    flags = flag_runs(cols, fit, odd, inputs, settings)
    slips = {} if isinstance(fit, NotFitted) else _slips(cols, fit, inputs, flags, settings)
    without = found
    flagged = {i for i in flags if cols.counted[i]}
    if flagged and isinstance(fit, ClassFit):
        without = outcome_of(without_runs(fit, flagged))
    value = found.class_value
    return ClassResult(
        settings=settings,
        runs=run_results(cols, settings, flags, slips, odd, technique_of_a_run(fit)),
        benches=_benches(cols, table, scatter, odd),
        class_value=value,
        class_value_absent_because=found.absent_because,
        class_value_without_flagged=without.class_value,
        estimates=()
        if value is None or table is None or not isinstance(fit, ClassFit)
        else estimates(fit, value, cols, table),
        spread=scatter.spread,
        line=line_fit(cols),
        separated=found.separated,
        separated_without_flagged=without.separated,
        ledger=about.ledger,
        warnings=warnings_for(cols, flags, table, value, found.absent_because, about.one_allowance),
        class_budget=about.budget,
        with_wider_priors=about.wider,
        one_allowance=about.one_allowance,
        levels=about.levels,
        room_is_known=room_of_class(cols, settings) is not None,
        could_still_be_wrong=about.could_still_be_wrong,
    )


class _AboutIt(NamedTuple):
    """What the fit says beside its result: nothing where there is none."""

    ledger: HeatLedger | None = None
    budget: tuple[ClassBudgetLine, ...] = ()
    wider: WithWiderPriors | None = None
    one_allowance: Message | None = None
    levels: tuple[MassLevel, ...] = ()
    could_still_be_wrong: tuple[Message, ...] = ()


def _about(fit: ClassFit | NotFitted, found: Outcome) -> _AboutIt:
    if isinstance(fit, NotFitted) or found.class_value is None:
        return _AboutIt()
    identifiable = found.separated.identifiable
    # Without an interval the value is the readings' own, which no prior moves.
    wider = None if found.class_value.interval_95 is None else with_wider_priors(fit)
    one, elsewhere = one_allowance(fit, identifiable), tubes_elsewhere(fit, identifiable)
    return _AboutIt(
        heat_ledger(fit, identifiable),
        class_budget(fit, identifiable),
        None if isinstance(wider, NotFitted) else wider,
        None if one is None else one.warning,
        levels_of_mass(fit, found.class_value.interval_95 is not None),
        () if elsewhere is None else (elsewhere,),
    )


def _slips(
    cols: Columns, fit: ClassFit, inputs: Inputs, flags: dict[int, list[Flag]], settings: ClassSettings
) -> dict[int, SuspectedSlip]:
    """The slips suspected behind the flagged runs, by the position of the run."""
    explained = of_warm_tubes(flags)
    doubted = (
        i
        for i, reasons in sorted(flags.items())
        if i not in explained and not A_WARM_TUBE_EXPLAINS.issuperset(reason.rule for reason in reasons)
    )
    suspected = {i: suspected_slip(i, cols, fit, inputs, settings) for i in islice(doubted, MOST_SOUGHT)}
    return {i: slip for i, slip in suspected.items() if slip is not None}


def _benches(
    cols: Columns, table: BenchTable | None, scatter: BenchScatter, odd: Oddness
) -> tuple[BenchSummary, ...]:
    if table is None:
        return ()
    return tuple(
        BenchSummary(
            bench=cols.benches[at],
            runs=int(table.counts[i]),
            mean_mass_kg=float(table.mass[i]),
            apparent_heat_capacity_J_per_kg_K=1.0 / slope if slope > 1e-12 else None,
            standard_uncertainty_J_per_kg_K=float(table.variance[i]) ** 0.5 / slope**2
            if slope > 1e-12
            else None,
            repeatability_sd_J_per_kg_K=scatter.sd[at],
            mandel_h=scatter.h[at],
            mandel_k=scatter.k[at],
            unlike_the_others=odd.benches[at],
        )
        for i, (at, slope) in enumerate(zip(table.position.tolist(), table.slope.tolist(), strict=True))
    )
