"""A run's warming beside what falls like its own usually give: praise inside, help outside."""

from __future__ import annotations

import pytest

from app.physics.asking.verdict import verdict


@pytest.mark.parametrize("warming", [1.0, 2.2, 5.0])
def test_a_usual_warming_is_praised_and_needs_no_advice(warming: float) -> None:
    said = verdict(warming, (1.0, 5.0))
    assert said.inside
    assert str(said.sentence).startswith("Well done")
    assert "1 to 5 K" in str(said.sentence)
    assert said.next_time is None


@pytest.mark.parametrize(
    ("warming", "how", "next_time"),
    [
        (0.9, "less than the 1 to 5 K", "at once"),
        (0.0, "less than the 1 to 5 K", "at once"),
        (-2.2, "-2.2 K is less", "at once"),
        (5.1, "more than the 1 to 5 K", "equally warm"),
    ],
)
def test_an_unusual_one_is_told_what_to_do_better(warming: float, how: str, next_time: str) -> None:
    said = verdict(warming, (1.0, 5.0))
    assert not said.inside
    assert how in str(said.sentence)
    assert next_time in str(said.next_time)
