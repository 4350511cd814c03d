"""The robust slope of the line view: where Huber's weights at the slope give the slope back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.readings import RunReadings
from app.analysis.views.line import line_fit
from tests.analysis.classes import LEAD, simulated_runs


@pytest.mark.parametrize("masses_kg", [(0.5,), (0.24, 0.45, 0.67, 0.88)])
@pytest.mark.parametrize("seed", range(20))
def test_the_robust_slope_gives_itself_back(seed: int, masses_kg: tuple[float, ...]) -> None:
    _gives_itself_back(simulated_runs(seed, benches=16, masses_kg=masses_kg))


@pytest.mark.parametrize("wild", [1, 5, 8])
@pytest.mark.parametrize("seed", range(10))
def test_the_robust_slope_gives_itself_back_beside_wild_runs(seed: int, wild: int) -> None:
    runs = simulated_runs(seed, benches=6)
    runs[:wild] = [replace(run, inversions=1000 * run.inversions) for run in runs[:wild]]
    _gives_itself_back(runs)


def _gives_itself_back(runs: list[RunReadings]) -> None:
    """Weights min(1, 1.345 s/|r|) with s = median|r|/0.6745 (Huber's, as printed in most textbooks)."""
    line = line_fit(columns(runs, LEAD))
    assert line is not None
    assert line.robust_slope_K_kg_per_J is not None
    slope = line.robust_slope_K_kg_per_J
    e = np.array([point.specific_energy_J_per_kg for point in line.points])
    w = np.array([point.warming_K for point in line.points])
    size = np.maximum(np.abs(w - slope * e), 1e-12)
    weight = np.minimum(1.0, 1.345 * np.median(size) / 0.6745 / size)
    again = np.sum(weight * e * w) / np.sum(weight * e * e)
    assert again == pytest.approx(slope, rel=1e-4)
