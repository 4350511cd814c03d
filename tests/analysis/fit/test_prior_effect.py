"""Priors twice as wide, from the draws there are, against a fit that is made with them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.model import Priors
from app.analysis.fit.prior_effect import wider_fit, with_wider_priors
from app.analysis.fit.quantities import specific_heat
from app.analysis.results import WithWiderPriors
from tests.analysis.fit.rooms import LEAD, a_room, fitted, half_widths, main_figures
from tests.simulated_room import Room

ROOMS = (
    Room(),
    Room(benches=6, technique_sd_bench=0.05),
    Room(masses_kg=(0.5,), technique_sd_bench=0.05),
    Room(leak_J_per_K_per_inversion=0.1, start_above_room_K=3.0, slips=2),
)


@pytest.mark.parametrize("room", ROOMS)
def test_the_draws_weighted_anew_agree_with_a_fit_of_wider_priors(room: Room) -> None:
    """With 16,384 draws; what chance leaves of an interval's end is then below a tenth of its half."""
    runs = a_room(11, room)
    found = wider_fit(fitted(runs, draws=16384))
    assert isinstance(found, ClassFit)
    again = fitted(runs, LEAD, Priors().twice_as_wide(), draws=16384)
    for figure, expected, half in zip(
        main_figures(found), main_figures(again), half_widths(again), strict=True
    ):
        assert figure == pytest.approx(expected, abs=0.1 * half)


def test_priors_that_hardly_overlap_are_fitted_again() -> None:
    """A leak ten times what the prior allows, and scatters as well."""
    narrow = replace(Priors(), leak_J_per_K_per_inversion=1e-3, heat_sink_J_per_K=2.0, bench_sd=1e-3)
    room = Room(leak_J_per_K_per_inversion=0.1, start_above_room_K=3.0, technique_sd_bench=0.05)
    runs = a_room(11, room)
    found = wider_fit(fitted(runs, LEAD, narrow))
    assert isinstance(found, ClassFit)
    again = fitted(runs, LEAD, narrow.twice_as_wide())
    assert main_figures(found) == pytest.approx(main_figures(again))


def test_a_class_that_knows_its_specific_heat_is_not_moved_and_one_of_one_mass_is() -> None:
    even = with_wider_priors(fitted(a_room(11)))
    of_one_mass = fitted(a_room(11, Room(masses_kg=(0.5,))))
    one_mass = with_wider_priors(of_one_mass)
    assert isinstance(even, WithWiderPriors)
    assert isinstance(one_mass, WithWiderPriors)
    assert abs(even.specific_heat_moves_percent) < 1.0
    before, _ = of_one_mass.draws.interval_95(specific_heat(of_one_mass))
    assert one_mass.specific_heat_interval_95[0] < 0.8 * before
    assert abs(one_mass.class_value_moves_percent) < 1.0
    for low, high in (even.specific_heat_interval_95, even.class_value_interval_95):
        assert low < high
