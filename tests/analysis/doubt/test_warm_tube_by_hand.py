"""From which surplus of heat on a warm tube explains a run, and up to which: by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from app.analysis.columns import columns
from app.analysis.doubt import warm_tube
from app.analysis.doubt.warm_tube import FROM_LAST_RUN, FROM_ROOM, WARM_TUBE, of_warm_tubes, warm_tubes
from app.analysis.readings import RunReadings
from app.analysis.results import Flag
from app.words import Message
from tests.analysis.classes import LEAD

COLD = RunReadings("1", "1", 0.5, 1.0, 0.08, 50.0, 17.0, 21.0, room_temperature_C=20.0)


def told(monkeypatch: pytest.MonkeyPatch, surplus: float, *runs: RunReadings) -> Flag | None:
    """Of the last of these runs, with a shot of 65 J/K and a sink of 35 J/K."""
    cols = columns(runs, LEAD)
    for name, value in (
        ("specific_heat", 130.0),
        ("heat_sink", 35.0),
        ("expected_warming", cols.warming - surplus),
    ):
        monkeypatch.setattr(warm_tube, name, lambda _fit, value=value: value)
    fit: Any = SimpleNamespace(settings=LEAD, draws=SimpleNamespace(median=lambda value: value))
    found = warm_tubes(cols, fit).get(len(runs) - 1)
    return None if found is None else found[0]


@pytest.mark.parametrize(
    ("start", "surplus", "explained"),
    [
        (17.0, 0.142, False),  # 3.5·0.1 K/√6 is 0.143 K
        (17.0, 0.144, True),
        (17.0, 1.45, True),  # 1.25·35·3/(65 + 35) K and the thermometer's 0.143 K are 1.455 K
        (17.0, 1.46, False),
        (19.95, 0.16, True),
        (20.0, 0.16, False),
        (21.0, 0.16, False),
    ],
)
def test_a_tube_at_room_temperature_explains_what_it_can_give(
    monkeypatch: pytest.MonkeyPatch, start: float, surplus: float, explained: bool
) -> None:
    found = told(monkeypatch, surplus, replace(COLD, start_temperature_C=start))
    assert (found is not None) is explained


def test_the_warmer_of_room_and_last_run_is_named_with_what_it_adds(monkeypatch: pytest.MonkeyPatch) -> None:
    """35·d/100 K for a tube d warmer than the shot: 3.14 and 3 K below the room, 4 below the run before."""
    first = told(monkeypatch, 1.0, replace(COLD, start_temperature_C=16.86))
    assert first is not None
    assert (first.reason.template, first.reason.values) == (FROM_ROOM, {"below": "3.1", "most": "1.1"})
    assert (first.figure, first.threshold) == pytest.approx((1.0, 0.35 * 3.14))
    for ended, template, below in (
        (21.0, FROM_LAST_RUN, 4.0),
        (20.0, FROM_LAST_RUN, 3.0),
        (19.0, FROM_ROOM, 3.0),
    ):
        second = told(monkeypatch, 1.0, replace(COLD, end_temperature_C=ended), replace(COLD, run="2"))
        assert second is not None
        assert second.reason.template == template
        assert second.threshold == pytest.approx(0.35 * below)


def test_two_warm_tubes_in_a_class_are_believed_and_one_is_not() -> None:
    warm, other = (Flag(rule, Message("Why."), figure=1.0) for rule in (WARM_TUBE, "unlike-the-others"))
    assert of_warm_tubes({2: [other], 4: [other, warm], 7: [warm]}) == {4, 7}
    assert of_warm_tubes({2: [other], 4: [other, warm]}) == frozenset()
