"""When a slip is named: by how well the readings explain the bench, which is given here instead of fitted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from app.analysis.columns import columns
from app.analysis.doubt import slips
from app.analysis.doubt.inputs import Inputs
from app.analysis.doubt.slips import suspected_slip
from app.analysis.fit.another_run import NOWHERE, Standing
from app.analysis.readings import RunReadings
from tests.analysis.classes import LEAD, perfect_runs

RUNS = [replace(run, end_temperature_C=22.1 + 0.1 * (run.run != "1")) for run in perfect_runs([0.5] * 6)]
HALVED = replace(RUNS[0], inversions=25.0)


@pytest.fixture
def named(monkeypatch: pytest.MonkeyPatch) -> Any:
    """The name of the slip of a run that counted 25 turns, where the bench's others counted 50."""
    monkeypatch.setattr(slips, "expected_of", lambda _fit, _run: 2.1)

    def found(
        entered: Standing, doubled: Standing, exchanged: Standing = NOWHERE, others_end: float = 22.2
    ) -> str | None:
        """With these standings as entered, with 50 turns, and with an end of 21.2 °C."""

        def standings(_fit: object, rows: Sequence[Sequence[RunReadings]]) -> list[Standing]:
            assert [run.run for run in rows[0]] == ["1", "2", "3"]
            assert {run.bench for run in rows[0]} == {"1"}
            return [
                entered
                if row[0] == HALVED
                else doubled
                if row[0] == RUNS[0]
                else exchanged
                if row[0] == replace(HALVED, end_temperature_C=21.2)
                else NOWHERE
                for row in rows
            ]

        monkeypatch.setattr(slips, "standings", standings)
        mate = replace(RUNS[1], end_temperature_C=others_end)
        cols = columns([HALVED, mate, *RUNS[2:]], LEAD)
        fit: Any = None
        slip = suspected_slip(0, cols, fit, Inputs(cols), LEAD)
        return None if slip is None else slip.slip

    return found


def standing(log_at_home: float, at_home: float = 0.9, log_evidence: float = 0.0) -> Standing:
    return Standing(1.0, at_home, log_at_home, log_evidence)


@pytest.mark.parametrize(("log_at_home", "name"), [(-7.5, "inversions-halved"), (-7.6, None)])
def test_a_correction_must_gain_fourteen(named: Any, log_at_home: float, name: str | None) -> None:
    """As entered the count is far from the bench's own and costs 20 and 9; −2 log L of the correction."""
    assert named(standing(0.0), standing(log_at_home)) == name


@pytest.mark.parametrize(("at_home", "name"), [(0.5, "inversions-halved"), (0.45, None)])
def test_a_corrected_run_must_more_probably_be_like_the_others_than_not(
    named: Any, at_home: float, name: str | None
) -> None:
    assert named(standing(0.0), standing(0.0, at_home)) == name


@pytest.mark.parametrize(("log_evidence", "name"), [(-1.0, "inversions-halved"), (-1.1, None)])
def test_the_bench_must_not_become_much_less_probable(
    named: Any, log_evidence: float, name: str | None
) -> None:
    assert named(standing(0.0), standing(0.0, log_evidence=log_evidence)) == name


@pytest.mark.parametrize(
    ("log_at_home", "name"),
    [
        (15.0, "inversions-halved"),
        (15.1, None),  # with its odd count of 29 and 6 for the search it costs 35 less 30.2
        (19.9, None),
        (20.0, "digits-swapped"),
    ],
)
def test_the_best_slip_must_lead_its_rival_by_five(named: Any, log_at_home: float, name: str | None) -> None:
    found = named(standing(0.0), standing(0.0), standing(log_at_home))
    assert found == name


def test_digits_that_another_run_repeats_did_not_change_places(named: Any) -> None:
    """The end is 22.1 °C twice."""
    assert named(standing(0.0), standing(0.0), standing(20.0)) == "digits-swapped"
    assert named(standing(0.0), standing(0.0), standing(20.0), others_end=22.1) == "inversions-halved"
