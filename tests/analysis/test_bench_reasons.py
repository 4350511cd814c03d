"""Reasons that concern a bench as a whole, or one run's pull on the class."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm

from app.analysis.analyse import analyse_class
from app.analysis.columns import columns
from app.analysis.doubt.typical import typical
from app.analysis.results import ClassResult, RunReadings
from tests.analysis.classes import LEAD, perfect_runs


def by_bench(warmings: list[list[float]], masses: tuple[float, ...] = (0.5,)) -> list[RunReadings]:
    """A bench for each list of warmings: 50 inversions of 0.92 m, 20 °C at the start."""
    return [
        RunReadings(str(b), str(r), masses[b % len(masses)], 1.0, 0.08, 50.0, 20.0, round(20.0 + w, 1))
        for b, bench in enumerate(warmings, 1)
        for r, w in enumerate(bench, 1)
    ]


def rules(result: ClassResult, i: int) -> list[str]:
    return [flag.rule for flag in result.runs[i].flags]


STEADY = [[2.2, 2.1, 2.2], [2.2, 2.2, 2.2], [2.1, 2.1, 2.2], [2.2, 2.1, 2.1], [2.1, 2.1, 2.1]]


def test_a_bench_whose_readings_repeat_to_a_mark_is_not_said_to_scatter() -> None:
    # 1.4, 1.4, 1.3: no worse than the others, but c* = e/w turns a tenth of a degree into 25 J/(kg·K) here.
    result = analyse_class(by_bench([*STEADY, *STEADY, [1.4, 1.4, 1.3]]), LEAD)
    assert result.benches[-1].mandel_k is not None
    assert result.spread.mandel_k_critical is not None
    assert result.benches[-1].mandel_k > result.spread.mandel_k_critical
    assert "mandel-h" in rules(result, 30)
    assert not {"mandel-k", "cochran"} & set(rules(result, 30))
    wild = analyse_class(by_bench([*STEADY, *STEADY, [1.4, 2.0, 2.6]]), LEAD)
    assert {"mandel-k", "cochran"} <= set(rules(wild, 30))


def test_cochrans_share_of_the_scatter_is_said_as_it_is() -> None:
    # Two benches of sixteen scatter: neither has most of it, though the larger C is beyond its limit.
    result = analyse_class(by_bench([*STEADY, *STEADY, *STEADY[:4], [1.5, 2.1, 2.9], [1.6, 2.2, 2.9]]), LEAD)
    said = [flag for run in result.runs for flag in run.flags if flag.rule == "cochran"]
    assert said
    for flag in said:
        assert flag.figure is not None
        assert f"{100 * flag.figure:.0f} %" in str(flag.reason)
        assert "Most" not in str(flag.reason)


def test_a_light_bench_is_no_bench_apart() -> None:
    # One bench has a fifth of the mass: its c* is far above the others' by plan.
    masses = (1.0, 0.8, 0.6, 0.9, 0.7, 1.0, 0.8, 0.2)
    runs = [replace(run, planned_shot_mass_kg=run.shot_mass_kg) for run in perfect_runs(masses, runs=3)]
    runs[21] = replace(runs[21], end_temperature_C=runs[21].end_temperature_C + 0.9)
    result = analyse_class(runs, LEAD)
    assert result.benches[7].mandel_h is not None
    assert result.spread.mandel_h_critical is not None
    assert result.benches[7].mandel_h > result.spread.mandel_h_critical
    assert "modified-z" in rules(result, 21)
    h = [flag.figure for flag in result.runs[21].flags if flag.rule == "mandel-h"]
    assert all(figure is not None and figure < 0 for figure in h)  # apart by its wild run alone, if at all


def test_as_many_runs_are_counted_together_as_are_said_to_stand_together() -> None:
    for wild in ([3.3, 3.4], [3.3, 3.4, 2.5]):
        values = [2.0, 2.1, 2.1, 2.2, 2.0, 2.1, 2.2, 2.1, 2.0, 2.1, 2.1, 2.0, 2.1, 2.2, 2.0, *wild]
        result = analyse_class(by_bench([[w] for w in values]), LEAD)
        together = [f.reason for run in result.runs for f in run.flags if f.rule == "generalized-esd"]
        assert together
        assert {reason.values.get("number", "1") for reason in together} == {str(len(together))}


def test_cooks_distance_and_the_studentized_residual_are_those_of_a_general_library() -> None:
    # statsmodels' OLS influence (external studentization) on warming against expected warming, both in
    # units of the scale; the residual sd here is above the floor of 1.
    values = [2.1, 2.1, 2.1, 2.2, 2.0, 2.1, 2.1, 2.2, 1.7, 2.4, 1.8, 2.5, 4.9]
    runs = by_bench([[w] for w in values])
    cols = columns(runs, LEAD)
    class_ = typical(cols, np.ones(len(values), dtype=np.bool_))
    assert class_ is not None
    x, y = class_.warming / class_.scale, cols.warming / class_.scale
    oracle = sm.OLS(y, x).fit().get_influence()
    assert sm.OLS(y[:-1], x[:-1]).fit().mse_resid > 1
    flags = {flag.rule: flag for flag in analyse_class(runs, LEAD).runs[-1].flags}
    assert flags["cooks-distance"].figure == pytest.approx(oracle.cooks_distance[0][-1], rel=1e-6)
    assert flags["cooks-distance"].threshold == pytest.approx(4 / 13)
    assert flags["studentized-residual"].figure == pytest.approx(
        oracle.resid_studentized_external[-1], rel=1e-6
    )


def test_the_distance_of_a_cold_run_is_said_of_the_difference() -> None:
    values = [2.2, 2.1, 2.2, 2.2, 2.1, 2.2, -0.3]
    run = analyse_class(by_bench([[w] for w in values]), LEAD).runs[-1]
    assert str(run.absent_because).startswith("The shot ends colder than it began")
    assert "The difference is" in " ".join(str(flag.reason) for flag in run.flags)


def test_a_run_of_impossible_mass_is_not_compared_by_its_mass() -> None:
    runs = perfect_runs()
    runs[0] = replace(runs[0], shot_mass_kg=runs[0].shot_mass_kg / 1000)
    found = analyse_class(runs, LEAD).runs[0]
    assert [flag.rule for flag in found.flags] == ["mass-impossible"]
    assert found.suspected_slip is not None
    assert found.suspected_slip.slip == "mass-unit"
