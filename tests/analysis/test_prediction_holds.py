"""What the planner predicts is what the analysis then shows, on simulated classes (small benchmark run)."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest

from app.analysis.fit.shared import shared_uncertainties
from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import predict, u_shared
from app.analysis.plan.proposal import propose
from app.analysis.readings import ClassSettings
from tests.analysis.classes import simulated_runs
from tests.analysis.fit.rooms import fitted
from tests.benchmarks.planner import Setting, compare


@pytest.mark.parametrize("technique", [0.02, 0.06])
def test_predicted_and_simulated_interval_widths_agree(technique: float) -> None:
    """40 classes leave about 5 % of chance; the full benchmark holds 10 % with 400."""
    kit = Kit((Tube(1.0, 0.04, 0.02),) * 12, technique_sd_bench=technique)
    plans = propose(kit).recommended.plans
    compared = compare(Setting("recommended", kit, plans), classes=40)
    assert {one.what for one in compared} == {"class value", "separated"}
    for one in compared:
        assert one.predicted == pytest.approx(one.simulated, rel=0.14)


def test_the_planner_counts_what_benches_share_as_the_fit_does() -> None:
    """A poor rule and a gravity that nobody worked out: each alone is seen in both."""
    tube = Tube(1.0, end_allowance_m=0.08)
    for changed in ({}, {"length_sd_m": 0.03}, {"u_gravity_m_per_s2": 0.4}):
        kit = replace(Kit((tube,) * 12), **changed)  # type: ignore[arg-type]
        settings = ClassSettings(accepted_J_per_kg_K=kit.c, **changed)  # type: ignore[arg-type]
        of_fit = shared_uncertainties(fitted(simulated_runs(1), settings, draws=512))
        planned = predict(kit, propose(kit).recommended.plans)
        assert u_shared(kit, planned.benches) == pytest.approx(hypot(*of_fit.values()), rel=1e-3)
        assert u_shared(kit, planned.benches) > (0.03 if changed else 0.01)
