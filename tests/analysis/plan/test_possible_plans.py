"""An impossible kit or plan is refused by name; any possible kit gets a plan that can be carried out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube
from app.analysis.plan.prediction import predict
from app.analysis.plan.proposal import propose
from app.physics.energy import settled_depth
from tests.analysis.plan.test_planning import KIT, plans_with


@pytest.mark.parametrize(
    ("kit", "field", "sentence"),
    [
        (Kit(()), "tubes", "no tube"),
        (Kit((Tube(0.0),)), "tubes", "Tube 1: its length must be up to 10 m"),
        (Kit((Tube(1.0), Tube(10.1))), "tubes", "Tube 2: its length"),
        (Kit((Tube(1.0, 0.04, caps_m=1.0),)), "caps", "caps leave no fall"),
        (Kit((Tube(1.0, end_allowance_m=1.0),)), "end_allowance", "allowance leaves no fall"),
        (Kit((Tube(1.0, bore_m=3.0),)), "tubes", "Tube 1: its bore must be 5 mm to 50 cm"),
        (Kit((Tube(0.2, 0.2, 0.1),)), "tubes", "No mass fits"),
        (replace(KIT, material="cheese"), "material", "metal"),
        (replace(KIT, thermometer_steps_K=(0.0,)), "thermometer_steps_K", "thermometer step must be more"),
        (replace(KIT, thermometer_steps_K=(0.1, 0.1)), "thermometer_steps_K", "one a bench"),
        (replace(KIT, minutes=4.0), "minutes", "no time for a single run"),
        (
            replace(KIT, tips_per_minute=float("nan")),
            "tips_per_minute",
            "tips per minute as a number above zero",
        ),
        (replace(KIT, minutes=0.0), "minutes", "minutes for tipping as a number above zero"),
        (replace(KIT, most_mass_kg=0.0), "most_mass_kg", "largest mass must be more than zero"),
        (replace(KIT, least_mass_kg=0.0), "least_mass_kg", "smallest mass must be more than zero"),
        (replace(KIT, gravity_m_per_s2=0.0), "gravity_m_per_s2", "Gravity must be more than zero"),
        (replace(KIT, most_inversions=10**6), "most_inversions", "1000000|1e.06"),
        (replace(KIT, shot_available_kg=1.0), "shot_available_kg", "(benches: 12)"),
        (replace(KIT, shot_available_kg=0.0), "shot_available_kg", "no shot"),
        (
            replace(KIT, heat_capacity_J_per_kg_K=0.0),
            "heat_capacity_J_per_kg_K",
            "specific heat capacity to plan",
        ),
        (replace(KIT, technique_sd_bench=-0.1), "technique_sd_bench", "cannot be negative"),
        (replace(KIT, room_temperature_C=300.0), "room_temperature_C", "no room temperature"),
    ],
)
def test_an_impossible_kit_is_refused_by_name(kit: Kit, field: str, sentence: str) -> None:
    with pytest.raises(ImpossiblePlan, match=sentence) as caught:
        propose(kit)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"inversions": 10**6}, "cannot be done"),
        ({"inversions": 0}, "cannot be done"),
        ({"shot_mass_kg": 20.0}, "more than its tube holds"),
        ({"shot_mass_kg": 0.0}, "Bench 1 has no shot"),
        ({"runs": 0}, "Bench 1: the number of runs must be between 1 and 20"),
        ({"thermometer_step_K": 0.0}, "Bench 1: the thermometer step must be more than zero"),
    ],
)
def test_an_impossible_plan_is_refused_with_the_bench_named(changed: dict[str, Any], sentence: str) -> None:
    plan = replace(plans_with([0.5])[0], **changed)
    with pytest.raises(ImpossiblePlan, match=sentence):
        predict(KIT, [plan])
    with pytest.raises(ImpossiblePlan, match="no bench"):
        predict(KIT, [])


def _must_be_refused(least_kg: float, length_m: float, bore_m: float | None) -> bool:
    """Whether the least mass is more than a kilogram, or fills more than a quarter of the tube."""
    return bore_m is not None and min(1.0, least_kg * 0.25 * length_m / 0.03) < least_kg


@settings(max_examples=40)
@given(
    st.integers(1, 16),
    st.floats(0.5, 2.0),
    st.none() | st.floats(0.02, 0.06),
    st.floats(0.05, 1.0),
    st.floats(5, 90),
    st.floats(0, 60),
    st.none() | st.floats(0.5, 30),
)
def test_any_possible_kit_gets_a_plan_that_can_be_carried_out(
    benches: int,
    length: float,
    bore: float | None,
    step: float,
    minutes: float,
    sink: float,
    shot: float | None,
) -> None:
    kit = Kit(
        (Tube(length, bore),) * benches,
        thermometer_steps_K=(step,),
        minutes=minutes,
        heat_sink_J_per_K=sink,
        shot_available_kg=shot,
    )
    # The least that is proposed: 0.2 kg, or what covers a bulb with 3 cm of settled shot in this bore.
    least = 0.2 if bore is None else 0.03 / settled_depth(1.0, bore, 11340)
    if _must_be_refused(least, length, bore) or (shot is not None and shot < least * benches):
        with pytest.raises(ImpossiblePlan) as refused:
            propose(kit)
        assert refused.value.field == (
            "tubes" if _must_be_refused(least, length, bore) else "shot_available_kg"
        )
        return
    proposal = propose(kit)
    assert proposal.recommended in proposal.alternatives
    for one in proposal.alternatives:
        assert predict(kit, one.plans) == one.prediction
        assert len(one.plans) == benches
        assert shot is None or sum(plan.shot_mass_kg for plan in one.plans) <= shot + 1e-9
        for plan, bench in zip(one.plans, one.prediction.benches, strict=True):
            assert least - 0.01 - 1e-9 <= plan.shot_mass_kg <= kit.most_mass_kg + 1e-9
            assert 1 <= plan.inversions <= kit.most_inversions
            assert 1 <= plan.runs <= 4
            needed = plan.runs * (plan.inversions / kit.tips_per_minute + kit.minutes_beside_tipping)
            assert needed <= minutes + 1e-9
            assert bench.fall_m >= 0.74 * length, "at most a quarter of a tube is filled"
            assert plan.start_temperature_C == pytest.approx(21 - bench.expected_warming_K / 2, abs=0.051)
        half = one.prediction.class_half_width_J_per_kg_K
        assert half is None if benches < 3 else half is not None and 0 < half < np.inf
    halves = [one.prediction.separated_half_width_J_per_kg_K or 0.0 for one in proposal.alternatives[:-1]]
    assert all(0 < half < np.inf for half in halves)
    assert halves == sorted(halves), "the narrowest first, the same for all last"
    of = {one.key: one.prediction.separated_half_width_J_per_kg_K for one in proposal.alternatives}
    two = of.get("extremes")
    if two is not None:
        # At most 15 % wider than with two masses: so much a third one may cost. Masses spread evenly can be
        # narrower than both where the thermometer hardly shows the warming.
        recommended = of[proposal.recommended.key]
        assert recommended is not None
        assert recommended <= 1.15 * two + 1e-9
