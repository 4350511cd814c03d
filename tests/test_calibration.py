"""The calibration's figures carry a Monte Carlo error, and a target is missed only beyond it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.calibration.figures import MET, MISSED, OPEN, Figure, median, share
from tests.benchmarks.calibration.parts import Part
from tests.benchmarks.calibration.settings import SETTINGS

VERDICTS = {91.0: MISSED, 91.5: OPEN, 92.0: MET, 98.0: MET, 98.5: OPEN, 99.0: MISSED}


@pytest.mark.parametrize(("percent", "verdict"), VERDICTS.items())
def test_a_target_is_missed_beyond_two_monte_carlo_errors(percent: float, verdict: str) -> None:
    assert Figure(percent, 0.4, 92.0, 98.0).verdict == verdict


def test_a_simulated_target_has_an_error_too() -> None:
    assert Figure(3.0, 0.3, None, 2.0).verdict == MISSED
    assert Figure(3.0, 0.3, None, 2.0, error_of_target=0.5).verdict == OPEN


def test_a_share_that_never_came_up_still_has_an_error() -> None:
    """0 of 50, with one hit and one miss more: √(1/52·51/52/50) = 1.9 %."""
    found = share([0.0] * 50, [1.0] * 50)
    assert found is not None
    assert (found.percent, found.error) == (0.0, pytest.approx(1.94, abs=0.01))
    assert share([], []) is None


def test_runs_of_one_class_are_not_independent() -> None:
    """Ten classes of ten runs, all ten runs of one class flagged: 10 ± 9.5 %, not 10 ± 3 %."""
    found = share([10.0] + [0.0] * 9, [10.0] * 10)
    assert found is not None
    assert found.percent == pytest.approx(10.0)
    assert found.error == pytest.approx(100 * (0.9**2 + 9 * 0.1**2) ** 0.5 / 10)


def test_the_error_of_a_median_is_that_of_its_ranks() -> None:
    """Of the numbers 0 to 100: ranks 50 ± 0.5·√101, hence 50 ± 5.0."""
    found = median([number / 100 for number in range(101)])
    assert found is not None
    assert (found.percent, found.error) == (pytest.approx(50.0), pytest.approx(4.975, abs=0.01))


def test_every_part_of_every_setting_has_a_file_of_its_own() -> None:
    files = [Part(Path(), name, number, 20).file for name in SETTINGS for number in (0, 1, 10)]
    assert len(set(files)) == len(files)
    stems = [Part(Path(), name, 0, 20).stem for name in SETTINGS]
    assert not [(one, other) for one in stems for other in stems if other.startswith(f"{one}.")]


def test_a_class_without_its_slips_is_a_setting_as_well() -> None:
    assert {setting.clean for setting in SETTINGS.values()} - {None} <= set(SETTINGS)
