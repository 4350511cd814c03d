"""What is drawn, kept as text beside the tests: a line for each part, so that nothing moves unnoticed.

A line has three parts between tabs: what it is, where it stands, how it is drawn.
Places may be off by a hair.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

Drawings = Mapping[str, Callable[[], list[str]]]
"""What is kept, by the name of its file: a function that describes it as it is drawn now."""


def keep(folder: Path, drawings: Drawings) -> None:
    """Write all files anew."""
    folder.mkdir(exist_ok=True)
    for name, described in drawings.items():
        (folder / f"{name}.txt").write_text("\n".join(described()) + "\n", encoding="utf-8")


def assert_as_kept(folder: Path, name: str, drawings: Drawings, nearly: float) -> None:
    """Every part is there, in its order, drawn as it was, and within `nearly` of where it stood."""
    kept = (folder / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    now = drawings[name]()
    for was, is_now in zip(map(_parted, kept), map(_parted, now), strict=False):
        assert is_now[::2] == was[::2]
        assert is_now[1] == pytest.approx(was[1], abs=nearly), was[0]
    assert len(now) == len(kept)


def _parted(line: str) -> tuple[str, list[float], str]:
    name, places, drawn = line.split("\t")
    return name, [float(place) for place in places.split()], drawn
