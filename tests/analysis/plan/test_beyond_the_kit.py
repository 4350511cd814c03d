"""What the planner would not propose, it does not let pass in silence."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.kit_limits import Beyond, MassLimits, beyond_the_kit, to_step
from app.analysis.plan.prediction import BenchPlan, predict
from app.analysis.plan.proposal import propose

KIT = Kit(
    (Tube(1.0, 0.05, 0.02),) * 12,
    shot_available_kg=8.0,
    most_mass_kg=1.0,
    minutes=30.0,
    minutes_beside_tipping=4.0,
    tips_per_minute=30.0,
    most_inversions=100,
)
ORDINARY = BenchPlan("1", KIT.tubes[0], 0.1, 0.6, 60, 3, 19.5)


def found(kit: Kit, *plans: BenchPlan) -> list[Beyond]:
    return list(beyond_the_kit(kit, predict(kit, plans)))


def only(kit: Kit, **changes: object) -> Beyond:
    """The one warning for a bench with this changed."""
    (one,) = found(kit, replace(ORDINARY, **changes))  # type: ignore[arg-type]
    return one


def test_an_ordinary_bench_and_every_proposal_are_within_the_kit() -> None:
    assert found(KIT, ORDINARY) == []
    for kit in (KIT, replace(KIT, tubes=(Tube(1.0, 0.05, 0.02),) * 5 + (Tube(0.8, 0.04, 0.02),) * 5)):
        for one in propose(kit).alternatives:
            assert beyond_the_kit(kit, one.prediction) == (), one.key


def test_twelve_benches_with_a_kilogram_and_a_half_are_more_than_eight_kilograms() -> None:
    plans = [replace(ORDINARY, bench=str(n), shot_mass_kg=1.5) for n in range(1, 13)]
    warned = found(KIT, *plans)
    assert [one.bench for one in warned if "the most shot for one bench (1000 g)" in str(one.sentence)] == [
        str(n) for n in range(1, 13)
    ]
    (shot,) = [one for one in warned if "18 kg" in str(one.sentence)]
    assert (shot.bench, shot.field) == ("6", "mass"), "six times 1.5 kg is more than 8 kg"
    assert "there is 8 kg" in str(shot.sentence)


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        # A bore of 50 mm holds 0.6·11340·π·0.05²/4 = 13.36 kg a metre, 13.1 kg in 98 cm; 3 cm are 401 g.
        ({"shot_mass_kg": 0.2}, "mass", "May not cover the thermometer's bulb: about 401 g do"),
        ({"inversions": 120, "runs": 2}, "inversions", "the most inversions in one run (100)"),
        ({"inversions": 90, "runs": 5}, "runs", "take about 35 min; there are 30"),
        ({"thermometer_step_K": 1.0, "inversions": 60}, "inversions", "only a few steps"),
        ({"start_temperature_C": 5.0}, "start", "Far from the room's 21 °C"),
        ({"start_temperature_C": 35.0}, "start", "Far from the room's 21 °C"),
    ],
)
def test_each_number_beyond_the_kit_has_its_reason(changes: dict[str, float], field: str, said: str) -> None:
    one = only(KIT, **changes)
    assert (one.bench, one.field) == ("1", field)
    assert said in str(one.sentence)


def test_more_than_a_quarter_of_the_tube_is_said_in_percent() -> None:
    """13.1 kg fill the tube (see above): 4 kg are 31 %."""
    roomy = replace(KIT, most_mass_kg=5.0)
    assert "Fills about 31 % of the tube" in str(only(roomy, shot_mass_kg=4.0).sentence)


def test_a_least_mass_of_the_teachers_own_is_what_counts() -> None:
    own = replace(KIT, least_mass_kg=0.7)
    assert "Less than the least shot for one bench (700 g)" in str(only(own).sentence)


def test_proposed_masses_are_whole_tens_of_grams_inside_the_limits_of_their_tube() -> None:
    limits = MassLimits(((0.205, 0.418), (0.1, 0.3)))
    assert limits.clamped([0.0, 1.0]) == [0.21, 0.3]
    assert limits.clamped([1.0, 0.0]) == [0.41, 0.1]
    assert limits.clamped([0.33, 0.25]) == [0.33, 0.25]
    assert to_step(0.004) == 0.01, "no bench is given no shot"


def test_the_start_is_advised_with_one_figure_where_the_benches_hardly_differ() -> None:
    """Less than 0.15 K, a mark and a half of a 0.1 °C thermometer, is one figure: our own choice."""
    said = set()
    for millimetres in range(1000, 1120, 4):
        proposal = propose(Kit((Tube(1.0), Tube(1.0), Tube(millimetres / 1000))))
        below = [bench.start_below_room_K for bench in proposal.recommended.prediction.benches]
        one_figure = max(below) - min(below) < 0.15
        assert str(proposal.start_advice).startswith("Start about" if one_figure else "Start 2"), below
        said.add((one_figure, round(max(below) - min(below), 2)))
    assert {(True, 0.14), (False, 0.16)} <= said
