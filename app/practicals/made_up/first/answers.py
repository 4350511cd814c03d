"""The three questions, and what the made-up class takes of their answers. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

FEWEST, MOST = 6, 16
"""Benches of a class that a small screen can show, and in which one run can stand apart (our own choice)."""


@dataclass(frozen=True)
class Answers:
    """What the teacher said about the real lesson: how many benches, which metal, when."""

    benches: int
    material: str
    held_on: date

    @property
    def played_benches(self) -> int:
        """How many benches the made-up class has."""
        return max(FEWEST, min(self.benches, MOST))
