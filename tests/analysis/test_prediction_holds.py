"""What the planner predicts is what the analysis then shows, on simulated classes (small benchmark run)."""

from __future__ import annotations

import pytest

from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.proposal import propose
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
