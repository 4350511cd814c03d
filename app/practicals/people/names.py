"""How a person is named where someone reads of what that person did."""

from __future__ import annotations

from app.words import N_

FORMER_TEACHER = N_("a former teacher")
"""What stands in the name column of an account whose person was removed, and for an account that is gone."""


def shown_name(name: str | None) -> str:
    """The name of an account as it is shown. The pages say it with the filter `person`, which translates
    `FORMER_TEACHER`."""
    return name or FORMER_TEACHER


def is_removed(name: str) -> bool:
    """Whether the person of an account with this name was removed."""
    return name == FORMER_TEACHER
