"""Where a warning or a proposal turns into another one, and the last plan that can be carried out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube
from app.analysis.plan.prediction import predict
from app.analysis.plan.proposal import _choose, _start_advice, propose
from tests.analysis.test_kit_at_its_limits import a_bench
from tests.analysis.test_planning import KIT, TUBE


def a_warming_of(kelvins: float, step: float) -> str | None:
    """The warning of a bench that is to warm by so much, read in steps of `step`."""
    kit = Kit((Tube(1.0),), heat_sink_J_per_K=0.0, heat_capacity_J_per_kg_K=9.80665 * 10 / kelvins)
    (bench,) = predict(kit, [a_bench(tube=Tube(1.0), inversions=10, thermometer_step_K=step)]).benches
    assert bench.expected_warming_K == pytest.approx(kelvins)
    return None if bench.warning is None else str(bench.warning)


@pytest.mark.parametrize(
    ("kelvins", "step", "said"),
    [
        (0.99, 1.0, "a thermometer with steps of 1 K cannot see a warming of 0.99 K."),
        (1.01, 1.0, "a warming of 1 K is only a few steps of a 1 K thermometer, so one run says little."),
        (8.1, 1.0, "is only a few steps"),  # u = 1 K/√6 is 0.408 K, a twentieth of 8.16 K
        (8.2, 1.0, None),
        (0.81, 0.1, "is only a few steps"),
        (0.82, 0.1, None),
    ],
)
def test_a_warming_is_seen_from_one_step_on_and_well_from_a_twentieth_of_uncertainty_on(
    kelvins: float, step: float, said: str | None
) -> None:
    found = a_warming_of(kelvins, step)
    assert (found is None) is (said is None), found
    assert said is None or said in (found or "")


@pytest.mark.parametrize(
    ("runs", "inversions", "field"),
    [(1, 1, None), (20, 10_000, None), (21, 60, "runs"), (0, 60, "runs"), (3, 10_001, "inversions")],
)
def test_a_plan_has_runs_and_counts_that_can_be_done(runs: int, inversions: int, field: str | None) -> None:
    plan = a_bench(runs=runs, inversions=inversions)
    if field is None:
        assert predict(KIT, [plan]).benches[0].plan == plan
        return
    with pytest.raises(ImpossiblePlan) as problem:
        predict(KIT, [plan])
    assert problem.value.field == field


def test_a_tube_that_is_full_leaves_no_fall() -> None:
    """0.6 × 11340 kg/m³ × π·(40 mm)²/4 × 98 cm = 8379 g."""
    with pytest.raises(ImpossiblePlan, match=r"8380 g of shot is more than its tube holds \(about 8379 g\)"):
        predict(KIT, [a_bench(shot_mass_kg=8.38)])
    assert predict(KIT, [a_bench(shot_mass_kg=8.37)]).benches[0].fall_m > 0


def test_below_three_benches_there_is_a_value_and_no_interval() -> None:
    """The harmonic mean of c + C/m: 127.4 + 20/0.5 and 127.4 + 20/1 J/(kg·K)."""
    two = predict(KIT, [a_bench(), a_bench(bench="2", shot_mass_kg=1.0)])
    assert two.class_half_width_J_per_kg_K is None
    assert two.class_value_J_per_kg_K == pytest.approx(2 / (1 / 167.4 + 1 / 147.4), rel=1e-3)
    three = predict(KIT, [a_bench(bench=str(number)) for number in (1, 2, 3)])
    assert three.class_half_width_J_per_kg_K is not None


@pytest.mark.parametrize(("third_costs", "chosen"), [(0.15, "three"), (0.151, "extremes"), (0.0, "three")])
def test_a_third_mass_is_proposed_where_it_costs_no_more_than_fifteen_percent(
    third_costs: float, chosen: str
) -> None:
    made = {one.key: one for one in propose(KIT).alternatives}
    recommended, why = _choose(made["same"], made["extremes"], made["three"], third_costs, KIT)
    assert recommended.key == chosen
    assert f"{100 * third_costs:.0f} %" in str(why)


def test_where_masses_cannot_differ_everybody_does_the_same_and_is_told_why() -> None:
    made = {one.key: one for one in propose(KIT).alternatives}
    for benches, said in ((3, "Fewer than four benches"), (4, "does not allow masses that differ enough")):
        recommended, why = _choose(made["same"], None, None, None, replace(KIT, tubes=(TUBE,) * benches))
        assert recommended.key == "same"
        assert said in str(why)
    two, why = _choose(made["same"], made["extremes"], None, None, KIT)
    assert two.key == "extremes"
    assert "Light and heavy shot" in str(why)


@pytest.mark.parametrize(
    ("lowest", "highest", "said"),
    [
        (1.0, 1.14, "Start about 1.1 K below room temperature"),
        (1.0, 1.16, "Start 1.0 to 1.2 K below room temperature"),
    ],
)
def test_starts_that_differ_by_less_than_a_seventh_of_a_kelvin_are_said_as_one(
    lowest: float, highest: float, said: str
) -> None:
    prediction = predict(KIT, [a_bench(), a_bench(bench="2")])
    benches = tuple(
        replace(bench, start_below_room_K=below)
        for bench, below in zip(prediction.benches, (lowest, highest), strict=True)
    )
    assert said in str(_start_advice(replace(prediction, benches=benches)))
