"""Years of runs at once agree with the figures of one run and of one practical."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.views.archive import archive_figures
from app.statistics.outliers import modified_z
from tests.analysis.classes import LEAD, simulated_runs


def figures(practicals: list[list], **more: Any):
    label = np.concatenate([np.full(len(runs), number) for number, runs in enumerate(practicals)])
    runs = [run for one in practicals for run in one]
    column = lambda name: np.array([getattr(run, name) for run in runs])  # noqa: E731
    return label, archive_figures(
        label, column("tube_length_m"), column("end_allowance_m"), column("inversions"),
        column("start_temperature_C"), column("end_temperature_C"), **more,
    )  # fmt: skip


@pytest.mark.parametrize("sizes", [(12, 12, 12), (12, 2, 40)], ids=["alike", "uneven"])
def test_values_and_flags_are_those_of_each_practical_alone(sizes: tuple[int, ...]) -> None:
    practicals = [
        simulated_runs(seed, benches=size, masses_kg=(0.5,), technique_sd_bench=0.1)
        for seed, size in enumerate(sizes)
    ]
    label, found = figures(practicals)
    for number, runs in enumerate(practicals):
        here = label == number
        alone = analyse_class(runs, LEAD).runs
        assert found.apparent_J_per_kg_K[here] == pytest.approx(
            [run.apparent_heat_capacity_J_per_kg_K for run in alone], rel=1e-12
        )
        assert found.u_apparent_J_per_kg_K[here] == pytest.approx(
            [run.standard_uncertainty_J_per_kg_K for run in alone], rel=1e-9
        )
        energy = np.array([run.specific_energy_J_per_kg for run in alone])
        slope = np.array([run.warming_K for run in alone]) / energy
        expected = modified_z(slope, np.zeros(len(slope), dtype=int), 0.1 / np.sqrt(6) / energy)
        assert found.modified_z[here] == pytest.approx(expected.scores, rel=1e-9, abs=1e-12)
        assert found.flagged[here].tolist() == expected.flagged.tolist()


def test_a_practical_of_four_runs_is_not_compared_and_a_cold_run_has_no_value() -> None:
    runs = simulated_runs(1, benches=4, runs=1, masses_kg=(0.5,))
    _, found = figures([runs])
    assert not found.flagged.any()
    swapped = [*simulated_runs(1, benches=8, masses_kg=(0.5,))]
    swapped[3] = type(swapped[3])(**vars(swapped[3]) | {"end_temperature_C": 10.0})
    _, found = figures([swapped])
    assert np.isnan(found.apparent_J_per_kg_K[3])
    assert found.flagged[3]
