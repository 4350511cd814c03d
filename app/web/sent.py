"""What a form says besides what a person typed: the button that was pressed, and what its page showed.

A page of this tool always sends both. A form without them was made or changed by something else, so it is
refused: guessing what was meant would decide in the teacher's place.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from flask import request

from app.records.errors import Unprocessable
from app.words import N_, Message

Choice = TypeVar("Choice")
ON_OFF = {"yes": True, "no": False}


class NotAButton(Unprocessable):
    """The form names none of its page's buttons."""

    def __init__(self) -> None:
        super().__init__(
            Message(
                N_("The form did not say which button was pressed, so nothing was changed. Reload the page.")
            )
        )


class NoRevision(Unprocessable):
    """The form does not say which state of a run its page showed."""

    def __init__(self) -> None:
        super().__init__(
            Message(
                N_(
                    "The form did not say which readings its page showed, so nothing was changed."
                    " Reload the page, look at the run, and send again."
                )
            )
        )


def pressed(name: str, choices: Mapping[str, Choice]) -> Choice:
    """What the pressed button stands for. Raises `NotAButton` for a field that is missing or unknown."""
    value = request.form.get(name, "")
    if value not in choices:
        raise NotAButton()
    return choices[value]


def seen_revision(name: str) -> int:
    """The revision of a run that the page showed. Raises `NoRevision` where there is none."""
    value = request.form.get(name, type=int)
    if value is None:
        raise NoRevision()
    return value
