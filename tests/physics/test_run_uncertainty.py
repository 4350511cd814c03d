"""Per-run uncertainty against the GUM reference cases and the `uncertainties` package."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from app.physics.run_arrays import apparent_heat_capacities
from app.physics.run_uncertainty import (
    SOURCES,
    RunInputs,
    fieller_interval,
    run_uncertainty,
    warming_uncertainty,
)

# Reference cases gum-run-lead and gum-run-small-dT: GTC 1.5.1, first order (synthetic runs),
# Monte Carlo with 200,000 normal draws.
LEAD = RunInputs(
    tube_length_m=0.945,
    u_tube_length_m=0.003,
    inversions=50,
    start_temperature_C=20.5,
    end_temperature_C=24.0,
    gravity_m_per_s2=9.81,
    thermometer_step_K=0.5,
    shot_mass_kg=0.3,
    u_shot_mass_kg=0.001,
)
SMALL = RunInputs(
    tube_length_m=0.912,
    u_tube_length_m=0.004,
    inversions=20,
    start_temperature_C=21.0,
    end_temperature_C=22.0,
    gravity_m_per_s2=9.81,
    thermometer_step_K=0.5,
    shot_mass_kg=0.45,
    u_shot_mass_kg=0.001,
)


@pytest.mark.parametrize(
    ("run", "c", "u", "h_share", "one_reading_share", "monte_carlo"),
    [
        (
            LEAD,
            132.435,
            7.735200202546111,
            0.4204285714237699,
            5.461527368773674,
            (118.88316583786197, 149.56161615283094),
        ),
        (
            SMALL,
            178.9344,
            36.533261881195344,
            0.784799999991037,
            25.826957140687718,
            (127.96002287717573, 298.32607388441556),
        ),
    ],
)
def test_the_reference_runs_are_reproduced(
    run: RunInputs,
    c: float,
    u: float,
    h_share: float,
    one_reading_share: float,
    monte_carlo: tuple[float, float],
) -> None:
    worked = run_uncertainty(run)
    shares = {line.source: line.contribution_J_per_kg_K for line in worked.budget}
    assert worked.heat_capacity_J_per_kg_K == pytest.approx(c, rel=1e-9)
    assert worked.u_heat_capacity_J_per_kg_K == pytest.approx(u, rel=1e-6)
    assert shares["tube-length"] == pytest.approx(h_share, rel=1e-6)
    assert shares["thermometer-step"] == pytest.approx(math.sqrt(2) * one_reading_share, rel=1e-6)
    assert shares["shot-mass"] == shares["heat-sink"] == shares["gravity"] == 0
    assert worked.interval_95 == pytest.approx(monte_carlo, rel=1e-2)


def test_the_general_form_with_a_heat_sink_agrees_with_the_uncertainties_package() -> None:
    """Oracle: uncertainties 3.2, c = g·(L − a)·N/(T2 − T1) − C/m with every input uncertain."""
    run = RunInputs(
        tube_length_m=1.02,
        u_tube_length_m=0.002,
        end_allowance_m=0.05,
        u_end_allowance_m=0.004,
        inversions=60,
        u_inversions=0.5,
        start_temperature_C=19.0,
        end_temperature_C=22.1,
        gravity_m_per_s2=9.81,
        u_gravity_m_per_s2=0.002,
        shot_mass_kg=0.41,
        u_shot_mass_kg=0.001,
        heat_sink_J_per_K=22.0,
        u_heat_sink_J_per_K=5.0,
        thermometer_step_K=0.1,
        reading_sd_K=0.05,
    )
    u_reading = math.sqrt(0.1**2 / 12 + 0.05**2)
    start, end = ufloat(19.0, u_reading), ufloat(22.1, u_reading)
    fall_m = ufloat(1.02, 0.002) - ufloat(0.05, 0.004)
    sink_over_mass = ufloat(22.0, 5.0) / ufloat(0.41, 0.001)
    expected = ufloat(9.81, 0.002) * fall_m * ufloat(60, 0.5) / (end - start) - sink_over_mass
    worked = run_uncertainty(run)
    assert worked.heat_capacity_J_per_kg_K == pytest.approx(expected.nominal_value, rel=1e-12)
    assert worked.u_heat_capacity_J_per_kg_K == pytest.approx(expected.std_dev, rel=1e-9)
    assert math.hypot(*(line.contribution_J_per_kg_K for line in worked.budget)) == pytest.approx(
        expected.std_dev, rel=1e-9
    )


@pytest.mark.parametrize(("step", "u_sink"), [(0.5, 6.0), (0.1, 12.0)])
def test_the_interval_with_a_heat_sink_covers_as_a_simulation_does(step: float, u_sink: float) -> None:
    """Oracle: 400,000 normal draws of the general form, fixed seed."""
    run = RunInputs(
        tube_length_m=0.95,
        u_tube_length_m=0.004,
        inversions=30,
        start_temperature_C=20.0,
        end_temperature_C=21.5,
        shot_mass_kg=0.4,
        u_shot_mass_kg=0.001,
        heat_sink_J_per_K=20.0,
        u_heat_sink_J_per_K=u_sink,
        thermometer_step_K=step,
    )
    rng = np.random.default_rng(41)
    n = 400_000
    ratio = 9.80665 * 30 * rng.normal(0.95, 0.004, n) / rng.normal(1.5, step / math.sqrt(6), n)
    draws = ratio - rng.normal(20.0, u_sink, n) / rng.normal(0.4, 0.001, n)
    worked = run_uncertainty(run)
    assert worked.interval_95 == pytest.approx(tuple(np.quantile(draws, [0.025, 0.975])), rel=0.03)


def test_reading_errors_shared_by_start_and_end_cancel_and_steps_do_not() -> None:
    """Two readings of step/√12 each (JCGM 100:2008, 4.3.7); equal errors cancel in a difference (5.2.2)."""
    assert warming_uncertainty(0.5) == pytest.approx(math.sqrt(2) * 0.5 / math.sqrt(12))
    assert warming_uncertainty(0.0, 0.1, 1.0) == 0
    assert warming_uncertainty(0.5, 0.1, 1.0) == pytest.approx(warming_uncertainty(0.5))
    assert warming_uncertainty(0.0, 0.1, 0.0) == pytest.approx(0.1 * math.sqrt(2))


@pytest.mark.parametrize("end", [20.5, 19.0])
def test_a_run_without_warming_has_no_value_and_says_why(end: float) -> None:
    worked = run_uncertainty(
        RunInputs(tube_length_m=1, inversions=50, start_temperature_C=20.5, end_temperature_C=end)
    )
    assert worked.heat_capacity_J_per_kg_K is None
    assert worked.u_heat_capacity_J_per_kg_K is None
    assert worked.interval_95 is None
    assert "no specific heat capacity follows" in str(worked.absent_because)
    assert worked.warming_K == end - 20.5
    assert worked.u_warming_K > 0


def test_a_warming_that_could_be_zero_has_a_value_but_no_interval() -> None:
    worked = run_uncertainty(
        RunInputs(
            tube_length_m=1,
            inversions=5,
            start_temperature_C=20.5,
            end_temperature_C=20.8,
            thermometer_step_K=0.5,
        )
    )
    assert worked.heat_capacity_J_per_kg_K is not None
    assert worked.interval_95 is None
    assert "too small for this thermometer" in str(worked.interval_absent_because)


def test_every_budget_line_has_a_name_and_the_largest_comes_first() -> None:
    lines = run_uncertainty(LEAD).budget
    assert {line.source for line in lines} == set(SOURCES)
    assert lines[0].source == "thermometer-step"


def test_fieller_gives_back_the_published_limits_of_a_ratio() -> None:
    """Its ends solve (y − ρx)² = k²(u_y² + ρ²u_x²) exactly: the definition, Fieller (1954)."""
    interval = fieller_interval(10.0, 0.7, 4.0, 0.5, 2.0)
    assert interval is not None
    for rho in interval:
        assert (10.0 - rho * 4.0) ** 2 == pytest.approx(4.0 * (0.49 + rho**2 * 0.25))


@pytest.mark.parametrize(
    "broken",
    [
        {"tube_length_m": float("nan")},
        {"u_tube_length_m": -0.1},
        {"heat_sink_J_per_K": 5.0},
        {"shot_mass_kg": 0.0},
        {"reading_correlation": 1.5},
        {"thermometer_step_K": -0.1},
    ],
)
def test_impossible_inputs_are_an_error(broken: dict[str, float]) -> None:
    ordinary = {"tube_length_m": 1.0, "inversions": 50, "start_temperature_C": 20, "end_temperature_C": 23}
    with pytest.raises(ValueError):
        run_uncertainty(RunInputs(**{**ordinary, **broken}))


finite = st.floats(allow_nan=False, allow_infinity=False)


@given(finite, finite, finite, finite, st.floats(0, 1e300), st.floats(0, 1e300))
def test_finite_numbers_never_give_a_number_that_is_not_finite(
    length: float, count: float, start: float, end: float, step: float, u: float
) -> None:
    worked = run_uncertainty(
        RunInputs(
            tube_length_m=length,
            inversions=count,
            start_temperature_C=start,
            end_temperature_C=end,
            thermometer_step_K=step,
            u_tube_length_m=u,
        )
    )
    numbers = [worked.heat_capacity_J_per_kg_K, worked.u_heat_capacity_J_per_kg_K]
    numbers += list(worked.interval_95 or ())
    numbers += [line.contribution_J_per_kg_K for line in worked.budget]
    assert all(number is None or math.isfinite(number) for number in numbers)
    assert (worked.heat_capacity_J_per_kg_K is None) == (worked.absent_because is not None)


@given(
    st.lists(
        st.tuples(
            st.floats(0.3, 2), st.floats(0, 0.2), st.integers(1, 300), st.floats(10, 30), st.floats(8, 40)
        ),
        min_size=1,
        max_size=20,
    )
)
def test_arrays_of_runs_give_what_single_runs_give(
    runs: list[tuple[float, float, int, float, float]],
) -> None:
    columns = [np.array(column, dtype=float) for column in zip(*runs, strict=True)]
    many = apparent_heat_capacities(
        *columns, thermometer_step_K=0.2, reading_sd_K=0.05, u_length_m=0.003, with_intervals=True
    )
    assert many.low_95_J_per_kg_K is not None
    assert many.high_95_J_per_kg_K is not None
    for i, (length, allowance, count, start, end) in enumerate(runs):
        one = run_uncertainty(
            RunInputs(
                tube_length_m=length,
                end_allowance_m=allowance,
                inversions=count,
                start_temperature_C=start,
                end_temperature_C=end,
                thermometer_step_K=0.2,
                reading_sd_K=0.05,
                u_tube_length_m=0.003,
            )
        )
        assert bool(many.has_value[i]) == (one.heat_capacity_J_per_kg_K is not None)
        if one.heat_capacity_J_per_kg_K is None or one.u_heat_capacity_J_per_kg_K is None:
            assert math.isnan(many.apparent_heat_capacity_J_per_kg_K[i])
            continue
        assert many.apparent_heat_capacity_J_per_kg_K[i] == pytest.approx(one.heat_capacity_J_per_kg_K)
        assert many.u_apparent_heat_capacity_J_per_kg_K[i] == pytest.approx(one.u_heat_capacity_J_per_kg_K)
        if one.interval_95 is not None and one.interval_95[1] < 1e9:
            ends = (many.low_95_J_per_kg_K[i], many.high_95_J_per_kg_K[i])
            assert ends == pytest.approx(one.interval_95, rel=1e-6)


def test_an_array_without_warming_raises_no_warning_and_has_no_value() -> None:
    many = apparent_heat_capacities(1.0, 0.05, 50, np.array([20.0, 20.0]), np.array([20.0, 23.0]))
    assert many.has_value.tolist() == [False, True]
