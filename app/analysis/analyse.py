"""A class's runs in, everything there is to say about them out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.analysis.bench_table import BenchTable, bench_table
from app.analysis.class_value import class_value
from app.analysis.columns import Columns, columns
from app.analysis.doubt.checks import InputChecks, check_inputs
from app.analysis.doubt.flags import flag_runs
from app.analysis.doubt.impossible import impossible_masses
from app.analysis.doubt.slips import suspected_slip
from app.analysis.doubt.typical import Typical, typical
from app.analysis.heat_leak import HeatLeak, heat_leak
from app.analysis.ledger import heat_ledger
from app.analysis.mass_line import MassLine, mass_line, masses_differ
from app.analysis.quick_look import quiet_class
from app.analysis.results import (
    BenchSummary,
    ClassResult,
    ClassSettings,
    Flag,
    RunReadings,
    SuspectedSlip,
    finite,
)
from app.analysis.separated import separated
from app.analysis.views.line import line_fit
from app.analysis.views.runs import run_results
from app.analysis.views.spread import BenchScatter, bench_scatter
from app.analysis.views.warnings import warnings_for


def analyse_class(runs: Sequence[RunReadings], settings: ClassSettings) -> ClassResult:
    """The whole analysis of one class; runs set aside are worked out and compared, but not counted.

    Works for any finite readings and any number of runs, none included. Never raises for odd
    readings: what cannot be said is None with a reason.
    """
    with np.errstate(all="ignore"):
        return _analyse(runs, settings)


def _analyse(runs: Sequence[RunReadings], settings: ClassSettings) -> ClassResult:
    cols = columns(runs, settings)
    table = bench_table(cols, settings)
    quiet, masses = quiet_class(cols, table, settings)
    class_ = None
    wrong_masses = 0
    if not quiet:
        checks = check_inputs(cols, settings)
        class_ = typical(cols, checks.sane, checks.bench_slope)
        wrong_masses = impossible_masses(cols)
        masses = None if wrong_masses else _mass_line(table, class_)
    value, absent, estimates, middle = class_value(table, masses, settings)
    scatter = bench_scatter(cols, table, masses is not None)
    flags: dict[int, list[Flag]] = {}
    slips: dict[int, SuspectedSlip] = {}
    if not quiet:
        flags = flag_runs(cols, checks, class_, scatter, settings)
        slips = _slips(cols, checks, class_, flags, settings)
    leak = _leak(cols, settings, masses)
    apart = separated(table, masses, settings, leak, wrong_masses)
    without, apart_without = value, apart
    if flags:
        keep = np.ones(len(cols.runs), dtype=np.bool_)
        keep[list(flags)] = False
        if bool((cols.counted & ~keep).any()):
            kept = cols.only(keep)
            rest = bench_table(kept, settings)
            rest_masses = _mass_line(rest, class_)
            without = class_value(rest, rest_masses, settings).value
            apart_without = separated(rest, rest_masses, settings, _leak(kept, settings, rest_masses))
    ledger = None
    if table is not None and middle is not None:
        ledger = heat_ledger(table, masses if apart.identifiable else None, middle, settings, leak)
    return ClassResult(
        settings=settings,
        runs=run_results(cols, settings, flags, slips),
        benches=_benches(cols, table, scatter),
        class_value=value,
        class_value_absent_because=absent,
        class_value_without_flagged=without,
        estimates=estimates,
        spread=scatter.spread,
        line=line_fit(cols),
        separated=apart,
        separated_without_flagged=apart_without,
        ledger=ledger,
        warnings=warnings_for(cols, flags, table, value, without, masses is not None, absent, wrong_masses),
    )


def _slips(
    cols: Columns,
    checks: InputChecks,
    class_: Typical | None,
    flags: dict[int, list[Flag]],
    settings: ClassSettings,
) -> dict[int, SuspectedSlip]:
    """The slips suspected behind the flagged runs, by the position of the run."""
    if class_ is None:
        return {}
    found = {}
    for i in flags:
        slip = suspected_slip(i, cols, checks, class_, settings.gravity_m_per_s2, settings.thermometer_step_K)
        if slip is not None:
            found[i] = slip
    return found


def _leak(cols: Columns, settings: ClassSettings, masses: MassLine | None) -> HeatLeak | None:
    return None if masses is None else heat_leak(cols, settings, masses)


def _mass_line(table: BenchTable | None, class_: Typical | None) -> MassLine | None:
    if table is None or class_ is None or not masses_differ(table):
        return None
    return mass_line(table, (class_.c, class_.sink))


def _benches(cols: Columns, table: BenchTable | None, scatter: BenchScatter) -> tuple[BenchSummary, ...]:
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
            repeatability_sd_J_per_kg_K=finite(scatter.sd[at]),
            mandel_h=finite(scatter.h[at]),
            mandel_k=finite(scatter.k[at]),
        )
        for i, (at, slope) in enumerate(zip(table.position.tolist(), table.slope.tolist(), strict=True))
    )
