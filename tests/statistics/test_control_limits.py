"""Limits of a control chart whose values have uncertainties of their own."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest

from app.statistics.control_limits import control_limits, runs_on_one_side

FLOW_RATES = np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
"""NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals control charts): ten batches of
flow rates, centre 50.81, limits 55.8041 and 45.8159, which the handbook works out with d2 = 1.128."""


def test_without_own_uncertainties_it_is_the_published_chart_for_individuals() -> None:
    found = control_limits(FLOW_RATES, np.zeros(10))
    handbook = found.half_widths * (2 / sqrt(pi)) / 1.128  # d2 of two normal values is 2/√π = 1.12838
    assert FLOW_RATES.mean() + handbook == pytest.approx([55.8041] * 10, abs=5e-5)
    assert FLOW_RATES.mean() - handbook == pytest.approx([45.8159] * 10, abs=5e-5)


def test_another_unit_changes_nothing_but_the_unit() -> None:
    u = np.linspace(0.2, 1.5, 10)
    one, thousandth = control_limits(FLOW_RATES, u), control_limits(FLOW_RATES / 1000, u / 1000)
    assert one.between_sd > 0.5
    assert thousandth.between_sd == pytest.approx(one.between_sd / 1000, rel=1e-9)
    assert thousandth.half_widths == pytest.approx(one.half_widths / 1000, rel=1e-9)


def test_equal_uncertainties_leave_the_limits_where_they_are() -> None:
    alone = control_limits(FLOW_RATES, np.zeros(10))
    with_u = control_limits(FLOW_RATES, np.full(10, 1.0))
    assert with_u.half_widths == pytest.approx(alone.half_widths, rel=1e-9)
    assert with_u.between_sd**2 + 1.0 == pytest.approx(alone.between_sd**2, rel=1e-9)


def test_an_unsure_value_has_wider_limits_than_a_sure_one() -> None:
    u = np.array([0.5, 3.0] * 5)
    found = control_limits(FLOW_RATES, u)
    assert found.half_widths[1] ** 2 - found.half_widths[0] ** 2 == pytest.approx(9 * (9 - 0.25), rel=1e-9)


def test_values_nearer_to_each_other_than_their_uncertainties_say_have_those_alone() -> None:
    found = control_limits(FLOW_RATES, np.full(10, 40.0))
    assert found.between_sd == 0.0
    assert found.half_widths == pytest.approx([120.0] * 10)
    same = control_limits(np.full(4, 7.0), np.zeros(4))
    assert (same.between_sd, list(same.half_widths)) == (0.0, [0.0] * 4)


def test_in_simulated_years_the_spread_between_practicals_is_found_again() -> None:
    rng, true = np.random.default_rng(7), 4.0
    u = rng.uniform(1.0, 5.0, 20_000)
    y = 130 + rng.standard_normal(20_000) * np.sqrt(true**2 + u**2)
    found = control_limits(y, u)
    assert found.between_sd == pytest.approx(true, rel=0.03)
    outside = np.mean(np.abs(y - 130) > found.half_widths)
    assert outside == pytest.approx(0.0027, abs=0.0012), "three standard deviations of a normal value"


def test_eight_in_a_row_on_one_side_are_found_with_their_places() -> None:
    y = np.array([1.0, -1, *[2.0] * 8, -1, *[3.0] * 7, -2, *[-1.0] * 9])
    assert runs_on_one_side(y, 0.0) == [(2, 9), (18, 27)]
    assert runs_on_one_side(np.zeros(20), 0.0) == [], "on the line is on no side"
