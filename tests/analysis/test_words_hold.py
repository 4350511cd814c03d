"""What the analysis says of a class must be true of that class."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.readings import RunReadings
from app.analysis.results import ClassResult
from app.physics.materials import u_accepted_J_per_kg_K
from tests.analysis.classes import LEAD, perfect_runs, simulated_runs


def warned(result: ClassResult) -> str:
    return " ".join(map(str, result.warnings))


def test_a_mass_that_cannot_be_does_not_pass_for_a_class_with_different_masses() -> None:
    runs = simulated_runs(4, benches=8, masses_kg=(0.4,))
    runs[0] = replace(runs[0], shot_mass_kg=0.0004)
    result = analyse_class(runs, LEAD)
    # 1/m of that run would outweigh the class, were it believed.
    assert not result.separated.identifiable
    assert "about the same mass (400 to 400 g)" in str(result.separated.reason)
    assert result.spread.reason is None
    clean = analyse_class(simulated_runs(4, benches=8, masses_kg=(0.4,)), LEAD)
    assert result.class_value is not None
    assert clean.class_value is not None
    assert result.class_value.apparent_heat_capacity_J_per_kg_K == pytest.approx(
        clean.class_value.apparent_heat_capacity_J_per_kg_K, rel=0.01
    )


def test_a_mass_that_cannot_be_moves_a_class_with_planned_masses_little() -> None:
    runs = perfect_runs()
    runs[5] = replace(runs[5], shot_mass_kg=runs[5].shot_mass_kg * 1000)
    result = analyse_class(runs, LEAD)
    assert "(240 to 880 g)" in str(result.separated.reason)
    for apart in (result.separated, result.separated_without_flagged):
        assert apart is not None
        assert apart.heat_capacity_J_per_kg_K == pytest.approx(127.4, rel=0.02)


def test_a_thermometer_too_coarse_for_the_warming_leaves_no_upper_end() -> None:
    def why(warmings: tuple[float, ...], step: float) -> str:
        runs = [
            RunReadings(str(b), "1", 0.4, 1.0, 0.08, 50.0, 20.0, 20.0 + w) for b, w in enumerate(warmings)
        ]
        value = analyse_class(runs, replace(LEAD, thermometer_step_K=step)).class_value
        assert value is not None
        assert value.interval_95 is None
        return str(value.interval_absent_because)

    assert "too small for this thermometer" in why((1.0, 1.0, 1.0), 4.0)


def test_benches_that_scatter_widely_have_a_wide_interval_and_not_none() -> None:
    runs = [RunReadings(str(b), "1", 0.4, 1.0, 0.08, 50.0, 20.0, 20.0 + w) for b, w in enumerate((1, 2, 4))]
    value = analyse_class(runs, LEAD).class_value
    assert value is not None
    assert value.interval_95 is not None
    assert value.interval_95[1] > 2 * value.interval_95[0]


def test_one_run_is_not_called_runs() -> None:
    alone = replace(perfect_runs([0.5])[0], inversions=50.5)
    assert "Runs flagged and still counted: 1 of 1." in warned(analyse_class([alone], LEAD))


def test_a_heat_sink_never_comes_out_below_zero() -> None:
    backwards = [
        replace(run, end_temperature_C=20 + 6.0 - 5 * run.shot_mass_kg)
        for run in perfect_runs([0.3, 0.9] * 4)
    ]
    apart = analyse_class(backwards, LEAD).separated
    assert apart.heat_sink_interval_95 is not None
    assert apart.heat_sink_interval_95[0] >= 0.0


def test_a_class_with_different_masses_is_not_told_to_use_different_masses() -> None:
    note = analyse_class(perfect_runs([0.3, 0.8]), LEAD).ledger
    assert note is not None
    assert "could tell" not in str(note.note)
    assert "masses differ" in str(note.note)
    same = analyse_class(perfect_runs([0.5, 0.5]), LEAD).ledger
    assert same is not None
    assert "could tell these apart" in str(same.note)


def test_a_ledger_far_above_all_of_the_energy_is_not_called_a_little_above() -> None:
    ledger = analyse_class(perfect_runs([0.5] * 6, heat_capacity=40.0, heat_sink=5.0), LEAD).ledger
    assert ledger is not None
    assert ledger.unaccounted < -1
    assert "little" not in str(ledger.note)


def test_the_ledger_has_the_heat_sink_and_the_leak_of_the_fit() -> None:
    runs = []
    for bench in range(12):
        mass, start, turns = (0.24, 0.45, 0.67, 0.88)[bench % 4], 23.0 + 3.0 * (bench % 5 - 2), 50.0
        # m e = (m c + C) w + λ N θ with λ = 0.1 J/K and θ = start + w/2 − 21.
        energy, leak = 9.80665 * 0.92 * turns, 0.1 * turns
        warming = (mass * energy - leak * (start - 21.0)) / (mass * 127.4 + 45.0 + 0.5 * leak)
        runs += [
            RunReadings(str(bench), str(run), mass, 1.0, 0.08, turns, start, start + warming, 21.0)
            for run in (1, 2)
        ]
    result = analyse_class(runs, replace(LEAD, thermometer_step_K=0.01))
    assert result.separated.heat_leak_J_per_K_per_inversion == pytest.approx(0.1, rel=0.05)
    # Over the mean mass, 0.56 kg.
    assert result.separated.heat_leak_per_inversion == pytest.approx(0.1 / 0.56, rel=0.05)
    assert result.ledger is not None
    energy = 9.80665 * 0.92 * 50.0
    in_sink = [45.0 / run.shot_mass_kg * (run.end_temperature_C - run.start_temperature_C) for run in runs]
    lost = [
        5.0 / run.shot_mass_kg * (0.5 * (run.start_temperature_C + run.end_temperature_C) - 21.0)
        for run in runs
    ]
    assert result.ledger.heat_sink == pytest.approx(sum(in_sink) / len(runs) / energy, abs=0.01)
    assert result.ledger.heat_leak == pytest.approx(sum(lost) / len(runs) / energy, abs=0.01)
    assert "leaked to the room" in str(result.ledger.note)


def test_an_alloys_range_is_part_of_the_uncertainty_of_the_shots_share() -> None:
    # Steel: 450 to 500 J/(kg·K) as a rectangular distribution is ± 50/√12 = 14.4, 3 % of its middle.
    exact = replace(LEAD, accepted_J_per_kg_K=475.0)
    u = u_accepted_J_per_kg_K("steel", 475.0)
    assert u == pytest.approx(50 / 12**0.5)
    for runs in (
        perfect_runs(heat_capacity=475.0, inversions=100.0),
        perfect_runs([0.5] * 8, inversions=100.0),
    ):
        sharp = analyse_class(runs, exact).ledger
        wide = analyse_class(runs, replace(exact, u_accepted_J_per_kg_K=u)).ledger
        assert sharp is not None
        assert wide is not None
        for name in ("u_shot", "u_unaccounted"):
            more = getattr(wide, name) ** 2 - getattr(sharp, name) ** 2
            assert more == pytest.approx((u / 475.0 * sharp.shot) ** 2, rel=0.05)
        if sharp.u_heat_sink is not None:
            assert wide.u_heat_sink == pytest.approx(sharp.u_heat_sink, rel=1e-9)


def test_a_value_typed_by_hand_is_taken_as_it_is() -> None:
    assert u_accepted_J_per_kg_K("lead", 127.4) == pytest.approx((129.5 - 127.4) / 12**0.5)
    assert u_accepted_J_per_kg_K("lead", 128.0) == 0.0
    assert u_accepted_J_per_kg_K("cheese", 127.4) == 0.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"end_allowance_m": -0.03},
            "An end allowance of -3 cm is not possible: it is a length taken off, or 0.",
        ),
        ({"end_allowance_m": 1.0}, "An end allowance of 100 cm leaves no fall in this tube."),
        ({"inversions": 10001.0}, "10001 inversions cannot be done in a lesson: check the count."),
        ({"inversions": 50.5}, "50.5 inversions are not possible: count whole turns, at least one."),
    ],
)
def test_an_impossible_reading_is_refused_for_its_own_reason(change: dict[str, float], words: str) -> None:
    runs = perfect_runs()
    runs[0] = replace(runs[0], **change)  # type: ignore[arg-type]
    assert words in [str(flag.reason) for flag in analyse_class(runs, LEAD).runs[0].flags]
