"""Figures are drawn as they were when somebody last looked at them (`tests/figures/kept.py`)."""

from __future__ import annotations

import pytest

from tests.figures.kept import DRAWINGS, FOLDER, described

NEARLY = 0.25
"""Points: a hair on a wall, and more than the last digits of another processor."""


def parted(line: str) -> tuple[str, list[float], str]:
    """What it is, its numbers, its inks."""
    name, numbers, inks = line.split("\t")
    return name, [float(number) for number in numbers.split()], inks


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_figure_is_drawn_as_it_was_kept(name: str) -> None:
    kept = (FOLDER / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    now = described(DRAWINGS[name]())
    for was, is_now in zip(map(parted, kept), map(parted, now), strict=False):
        assert is_now[::2] == was[::2]
        assert is_now[1] == pytest.approx(was[1], abs=NEARLY), was[0]
    assert len(now) == len(kept)
