"""One line of what is said about an installation, by the doctor or at a server's start."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """What was looked at, what was found, and whether that is as it should be."""

    subject: str
    text: str
    good: bool = True
