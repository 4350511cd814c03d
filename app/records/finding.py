"""One line of what the doctor found."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """What was looked at, what was found, and whether that is as it should be."""

    subject: str
    text: str
    good: bool = True
