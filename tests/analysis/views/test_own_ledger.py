"""A bench's own heat ledger, worked by hand from E = m·g·h·N, m·c·w and C·w."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from statistics import NormalDist

import pytest

from app.analysis.results import ClassResult
from app.analysis.views.own_ledger import own_ledger
from app.figures.of_bench import own_shares
from tests.figures.classes import SETTINGS, a_class, a_run, set_aside, worked_out

G_H = 9.80665 * 0.92
"""Standard gravity (CGPM 1901) times the fall of these made-up runs, in J/kg."""


def a_result() -> ClassResult:
    """Bench 21: 0.5 kg, 60 falls; warmed by 3.1 K and 3.5 K, and a third time, set aside."""
    own = [a_run(21, run, inversions=60, warming=warming) for run, warming in ((1, 3.1), (2, 3.5))]
    return worked_out([*a_class(6), *own, set_aside(a_run(21, 3, inversions=30, warming=9.0))])


def test_the_energy_is_shared_out_as_by_hand() -> None:
    """The class's heat sink is 17.5 J/K, from 14 to 21; each warming is known to 0.041 K (`classes`)."""
    found = own_ledger(a_result(), "21")
    assert found is not None
    assert found.runs == 2
    assert found.energy_J == pytest.approx(0.5 * G_H * 60)
    assert found.shot_J == pytest.approx(0.5 * SETTINGS.accepted_J_per_kg_K * 3.3)
    assert found.sink_J == pytest.approx(17.5 * 3.3)
    assert found.rest_J == pytest.approx(G_H * 30 - 210.1605 - 57.75)
    of_readings = (0.5 * SETTINGS.accepted_J_per_kg_K + 17.5) * 0.041 / sqrt(2)
    of_sink = 3.5 / NormalDist().inv_cdf(0.975) * 3.3
    assert found.u_rest_J == pytest.approx(sqrt(of_readings**2 + of_sink**2))


def test_the_rest_is_as_uncertain_as_readings_accepted_value_and_sink_are() -> None:
    """u(c) = 2 J/(kg·K) of 0.5 kg that warmed by 3.3 K adds 3.3 J; a sink that is not known, or without an
    interval, adds nothing of its own."""
    result = a_result()
    exact = own_ledger(result, "21")
    settings = replace(result.settings, u_accepted_J_per_kg_K=2.0)
    unsure = own_ledger(replace(result, settings=settings), "21")
    assert exact is not None
    assert unsure is not None
    assert unsure.u_rest_J == pytest.approx(sqrt(exact.u_rest_J**2 + 3.3**2))
    c = SETTINGS.accepted_J_per_kg_K
    for separated, sink in (
        (replace(result.separated, heat_sink_interval_95=None), 17.5),
        (replace(result.separated, identifiable=False), 0.0),
    ):
        found = own_ledger(replace(result, separated=separated), "21")
        assert found is not None
        assert found.u_rest_J == pytest.approx((0.5 * c + sink) * 0.041 / sqrt(2))


def test_the_joules_that_are_shown_add_up() -> None:
    shares = own_shares(a_result(), "21")
    assert shares is not None
    assert str(shares.of) == "Of your 271 J of fall energy (the mean of your 2 runs)"
    assert [str(joules) for _, joules in shares.parts] == ["210 J", "58 J", "3 ± 6 J"]
    assert list(map(str, shares.notes)) == ["The rest is no more than twice its uncertainty."]


def test_parts_far_beyond_the_energy_are_said_to_be_off() -> None:
    wild = worked_out([*a_class(6), a_run(21, inversions=60, warming=9.0)])
    shares = own_shares(wild, "21")
    assert shares is not None
    assert str(shares.of) == "Of your 271 J of fall energy"
    assert "more than there was" in str(shares.notes[0])


def test_no_ledger_without_the_classs_or_a_counted_run_and_no_sink_if_not_told_apart() -> None:
    result = a_result()
    assert own_ledger(replace(result, ledger=None), "21") is None
    assert own_ledger(result, "22") is None
    assert own_ledger(worked_out([*a_class(6), set_aside(a_run(21))]), "21") is None
    alike = replace(result, separated=replace(result.separated, identifiable=False))
    found, shares = own_ledger(alike, "21"), own_shares(alike, "21")
    assert found is not None
    assert shares is not None
    assert found.sink_J is None
    assert found.rest_J == pytest.approx(G_H * 30 - 210.1605)
    assert len(shares.parts) == 2
    assert shares.notes == ()


def test_a_run_unlike_the_others_is_left_out_and_the_bench_is_told_so() -> None:
    result = a_result()
    wild = replace(a_result().runs[-2], unlike_the_others=0.97)
    found = replace(result, runs=(*result.runs[:-2], wild, result.runs[-1]))
    assert own_ledger(found, "21") == own_ledger(worked_out_without(result), "21")
    shares = own_shares(found, "21")
    assert shares is not None
    assert str(shares.notes[-1]) == "Your runs unlike the others, not counted here: 1."


def worked_out_without(result: ClassResult) -> ClassResult:
    """The result without its last counted run."""
    return replace(result, runs=result.runs[:-2])
