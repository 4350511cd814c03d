"""The result does not depend on units, on the order of runs or on what the benches are called."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.readings import RunReadings
from app.analysis.results import ClassResult
from tests.analysis.classes import LEAD, simulated_runs


def a_class() -> list[RunReadings]:
    runs = simulated_runs(6, technique_sd_bench=0.05)
    runs[4] = replace(runs[4], inversions=25.0)
    return [run for i, run in enumerate(runs) if i not in (1, 2, 7)]


def figures(result: ClassResult) -> list[float]:
    """The main figures of a class, as one list."""
    value, apart, spread = result.class_value, result.separated, result.spread
    assert value is not None and value.interval_95 is not None  # noqa: PT018
    assert apart.interval_95 is not None and apart.heat_sink_interval_95 is not None  # noqa: PT018
    assert result.line is not None and result.ledger is not None  # noqa: PT018
    found = [
        value.apparent_heat_capacity_J_per_kg_K, *value.interval_95, apart.heat_capacity_J_per_kg_K,
        *apart.interval_95, *apart.heat_sink_interval_95, spread.repeatability_sd, spread.between_bench_sd,
        spread.cochran_C, 1 / result.line.slope_K_kg_per_J, result.ledger.shot, result.ledger.u_unaccounted,
        *(e.between_bench_sd_J_per_kg_K for e in result.estimates),
    ]  # fmt: skip
    assert None not in found
    return found  # type: ignore[return-value]


def test_order_of_the_runs() -> None:
    runs = a_class()
    order = np.random.default_rng(1).permutation(len(runs))
    shuffled = analyse_class([runs[i] for i in order], LEAD)
    straight = analyse_class(runs, LEAD)
    assert figures(shuffled) == pytest.approx(figures(straight), rel=1e-8, abs=1e-8)
    for place, i in enumerate(order):
        assert [f.rule for f in shuffled.runs[place].flags] == [f.rule for f in straight.runs[i].flags]
        assert shuffled.runs[place].suspected_slip == straight.runs[i].suspected_slip


def test_labels_of_the_benches() -> None:
    runs = a_class()
    renamed = [replace(run, bench="table " + "zyxwvutsrqpo"[int(run.bench) - 1]) for run in runs]
    assert figures(analyse_class(renamed, LEAD)) == pytest.approx(
        figures(analyse_class(runs, LEAD)), rel=1e-12
    )


def test_unit_of_energy() -> None:
    """Twice g is twice every energy: every specific heat capacity doubles, every share stays. The prior
    of the heat sink is in J/K and does not double: some hundredths at an end of an interval."""
    runs = a_class()
    double = replace(LEAD, gravity_m_per_s2=2 * 9.80665, accepted_J_per_kg_K=2 * 127.4)
    once, twice = analyse_class(runs, LEAD), analyse_class(runs, double)
    shares = {8 + i for i in (2,)} | {10, 12, 13}
    factors = [1.0 if i in shares else 2.0 for i in range(len(figures(once)))]
    assert figures(twice) == pytest.approx(
        [factor * x for factor, x in zip(factors, figures(once), strict=True)], rel=0.04, abs=0.01
    )


def test_a_common_offset_of_the_thermometer_cancels() -> None:
    """Up to other draws: the last bits of the warmings are others, and so are the steps to the mode."""
    runs = a_class()
    warmer = [
        replace(
            run,
            start_temperature_C=run.start_temperature_C + 2.0,
            end_temperature_C=run.end_temperature_C + 2.0,
            room_temperature_C=None,
        )
        for run in runs
    ]
    assert figures(analyse_class(warmer, LEAD)) == pytest.approx(figures(analyse_class(runs, LEAD)), rel=0.04)
