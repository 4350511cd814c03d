"""Caps and settled shot, read apart, and the end allowance that they make."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.physics.reading.ends import add_up, with_allowance
from app.physics.reading.readings import ReadingProblem, parse_length


def test_caps_and_depth_make_the_allowance() -> None:
    readings = with_allowance({"caps": parse_length("2.5"), "settled_depth": parse_length("52 mm")})
    assert readings["end_allowance"].value == Decimal("0.077")
    assert str(readings["end_allowance"].understood) == "7.7 cm"


def test_tubes_without_caps_and_depth_that_is_nothing_make_an_allowance_of_nothing() -> None:
    nothing = parse_length("0", may_be_zero=True)
    assert with_allowance({"caps": nothing, "settled_depth": nothing})["end_allowance"].value == 0


@pytest.mark.parametrize("parts", [{"caps": "2"}, {"settled_depth": "5"}, {"end_allowance": "7"}])
def test_one_part_alone_makes_nothing(parts: dict[str, str]) -> None:
    readings = {name: parse_length(text) for name, text in parts.items()}
    assert with_allowance(readings) == readings


@pytest.mark.parametrize(("typed", "fits"), [("71", True), ("69", True), ("71.1", False), ("68.9", False)])
def test_an_allowance_beside_its_parts_may_be_a_millimetre_off(typed: str, fits: bool) -> None:
    parts = {"caps": parse_length("2"), "settled_depth": parse_length("5")}
    readings = {**parts, "end_allowance": parse_length(typed, "mm")}
    if fits:
        assert with_allowance(readings) == readings
        return
    with pytest.raises(ReadingProblem) as said:
        with_allowance(readings)
    assert str(said.value).startswith(
        f"Caps (2 cm) and settled shot (5 cm) make 7 cm, but the end allowance says {float(typed) / 10:g} cm."
    )


def test_a_millimetre_is_a_millimetre_also_as_a_binary_fraction() -> None:
    assert all(add_up(0.02, k / 1000, 0.02 + (k + 1) / 1000) for k in range(1, 200))
    assert not any(add_up(0.02, k / 1000, 0.02 + (k + 1.01) / 1000) for k in range(1, 200))
