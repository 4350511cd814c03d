"""What tubes elsewhere may do to a class, from energy balances that are exact by construction."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit import tube_start
from app.analysis.fit.tube_start import _balanced, _figures, _Runs, _too_high_at_most, tubes_elsewhere
from app.analysis.readings import RunReadings
from tests.analysis.classes import LEAD

MASS = np.array([0.25, 0.5, 0.8, 0.4])
TURNS = np.array([50.0, 70.0, 60.0, 90.0])
ABOVE = np.array([-3.0, -2.0, -4.0, 1.0])
WARMER = np.array([1.0, 0.5, 2.0, 0.0])


def exact_runs() -> _Runs:
    """m·e = m·c·w + C·(w − d) + λ·N·(θ + w/2) with c 130, C 40 and λ 0.2."""
    energy = 9.0 * TURNS
    warming = (MASS * energy + 40.0 * WARMER - 0.2 * TURNS * ABOVE) / (MASS * 130.0 + 40.0 + 0.1 * TURNS)
    return _Runs(warming, energy, MASS, TURNS, ABOVE, np.array([0.02, 0.03, 0.02, 0.05]))


def test_an_exact_balance_gives_its_own_figures_back() -> None:
    found = _balanced(exact_runs(), WARMER, None)
    assert found is not None
    assert (found.specific_heat, found.heat_sink) == pytest.approx((130.0, 40.0))
    assert found.misfit == pytest.approx(0.0, abs=1e-12)
    known = _balanced(exact_runs(), WARMER, 130.0)
    assert known is not None
    assert (known.specific_heat, known.heat_sink) == pytest.approx((130.0, 40.0))
    figures = _figures(exact_runs(), WARMER, None, MASS)
    assert figures is not None
    assert figures == pytest.approx((1 / np.mean(1 / (130.0 + 40.0 / MASS)), 130.0, 40.0))


def test_a_run_off_by_one_spread_has_a_misfit_of_one() -> None:
    """With c known and nothing else in play: shot alone, one run's energy 2 % too high, its spread 2 %."""
    energy = np.array([260.0, 260.0, 260.0, 260.0])
    runs = _Runs(np.full(4, 2.0), energy, MASS, np.zeros(4), np.zeros(4), np.full(4, 0.02))
    off = runs._replace(energy=energy * np.array([1.0, 1.0, 1.0, 1 / 1.02]))
    found = _balanced(off, np.full(4, 2.0), 130.0)  # d = w: nothing goes into the sink
    assert found is not None
    assert found.misfit == pytest.approx(1.0)


def test_too_few_runs_or_readings_beyond_number_give_no_balance() -> None:
    runs = exact_runs()
    two = _Runs(*(part[:2] for part in runs))
    assert _balanced(two, WARMER[:2], None) is None
    assert _balanced(_Runs(*(part[:3] for part in runs)), WARMER[:3], None) is not None
    beyond = runs._replace(spread=np.array([0.02, np.inf, 0.02, np.nan]))
    assert _balanced(beyond, WARMER, None) is None
    assert _figures(runs._replace(warming=-runs.warming), WARMER, None, MASS) is None


def a_class(above_K: float) -> Any:
    runs = [
        RunReadings(str(bench), "1", mass, 1.0, 0.08, 50.0, 20.0 + above_K, 22.0 + above_K)
        for bench, mass in enumerate((0.25, 0.5), 1)
    ]
    aside = replace(runs[0], bench="3", set_aside=True, start_temperature_C=40.0)
    settings = replace(LEAD, room_temperature_C=20.0)
    return SimpleNamespace(columns=columns([*runs, aside], settings), settings=settings)


@pytest.mark.parametrize(("above_K", "off"), [(0.06, None), (0.07, 2), (2.0, 60)])
def test_shot_that_starts_above_the_room_may_read_too_high_by_what_a_usual_sink_takes(
    above_K: float, off: int | None
) -> None:
    """45·d/(m·e): e is 451.1 J/kg, the mean of 1/m where it counts 3 per kg; two percent are worth saying."""
    fit = a_class(above_K)
    exact = 45.0 * above_K * 3.0 / (9.80665 * 0.92 * 50)
    above = fit.columns.start - 20.0
    assert _too_high_at_most(fit.columns, above) == pytest.approx(exact)
    said = tubes_elsewhere(fit, told_apart=True)
    assert (None if said is None else said.values) == (
        None if off is None else {"apart": f"{above_K:.1f}", "off": str(off)}
    )


@pytest.mark.parametrize("told_apart", [True, False])
@pytest.mark.parametrize(("class_value", "is_said"), [(0.019, False), (0.02, True)])
def test_warm_tubes_are_worth_saying_from_two_percent_on(
    monkeypatch: pytest.MonkeyPatch, told_apart: bool, class_value: float, is_said: bool
) -> None:
    warm = tube_start.WarmTubes(1.26, tube_start.Figures(class_value, -0.034, 0.25))
    monkeypatch.setattr(tube_start, "warm_tubes", lambda *_: warm)
    said = tubes_elsewhere(a_class(-2.5), told_apart)
    values = {"apart": "2.5", "warmer": "1.3", "off": "2"} | (
        {"sink": "25", "heat": "3"} if told_apart else {}
    )
    assert (None if said is None else said.values) == (values if is_said else None)
