"""A suspected correction as the bench would write it: its own text in another place, or in another unit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.readings import RunReadings
from app.physics.run import QUANTITIES
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.slip_undone import texts_undone
from tests.practicals.a_class import an_entry


def typed(**texts: str) -> RunEntry:
    """The usual run, some of its readings typed otherwise."""
    return RunEntry({**an_entry().of, **{name: QUANTITIES[name].read(text) for name, text in texts.items()}})


@pytest.mark.parametrize(
    ("entry", "undone", "texts"),
    [
        (typed(shot_mass="0,34"), {"shot_mass_kg": 0.34}, {"shot_mass": "0,34 kg"}),
        (typed(tube_length="39.4"), {"tube_length_m": 0.394 * 2.54}, {"tube_length": "39.4 in"}),
        (typed(inversions="26"), {"inversions": 52.0}, {"inversions": "52"}),
        (typed(end_temperature="12.4"), {"end_temperature_C": 21.4}, {"end_temperature": "21.4 °C"}),
        (typed(end_temperature="12,4"), {"end_temperature_C": 21.4}, {"end_temperature": "21,4 °C"}),
        (typed(end_temperature="53,4 °F"), {"end_temperature_C": 21.4}, {"end_temperature": "70,52 °F"}),
        (typed(end_temperature="285.55 K"), {"end_temperature_C": 21.4}, {"end_temperature": "294.55 K"}),
        (
            typed(start_temperature="21,40", end_temperature="19.2"),
            {"start_temperature_C": 19.2, "end_temperature_C": 21.4},
            {"start_temperature": "19.2 °C", "end_temperature": "21,40 °C"},
        ),
        (typed(end_allowance="0"), {"end_allowance_m": 0.08}, {"end_allowance": "8 cm"}),
        (typed(), {}, {}),
        (typed(), {"end_temperature_C": 21.4 * (1 + 0.9e-6)}, {}),
        (typed(), {"inversions": 0.0}, {}),
        (typed(caps="2", settled_depth="3"), {"end_allowance_m": 0.08}, {}),
        (typed(caps="2", settled_depth="3"), {"inversions": 52.0}, {"inversions": "52"}),
    ],
)
def test_a_correction_is_written_as_the_bench_would(
    entry: RunEntry, undone: dict[str, float], texts: dict[str, str]
) -> None:
    """By hand: 21.4 °C is 70.52 °F and 294.55 K; a comma stays one; 39.4 in for 39.4 cm is 2.54 times as long
    (International Yard and Pound Agreement, 1959)."""
    before = RunReadings(bench="1", run="1", **entry.in_si)
    assert texts_undone(entry, replace(before, **undone)) == texts  # type: ignore[arg-type]
