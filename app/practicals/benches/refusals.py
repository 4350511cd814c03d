"""Why a phone is not let in, or not at that bench; each is one sentence."""

from __future__ import annotations

from app.records.errors import Conflict, NotAllowed, NotFound, Unprocessable
from app.words import N_


class WrongCode(NotFound):
    """No class is open under this code. After many of them a pause is asked for."""

    sentence = N_("No class is open under that code. Check it against the board and type it again.")

    def __init__(self, retry_after_seconds: int) -> None:
        super().__init__()
        self.retry_after_seconds = retry_after_seconds


class ClassPaused(Conflict):
    """The code is right, but the teacher has paused the class."""

    sentence = N_("The teacher has paused the class. Try again when it carries on.")


class NotOpenYet(Conflict):
    """The code is right, but the class is only planned."""

    sentence = N_("Your class is not open yet. Wait for the teacher to open it, then try again.")


class BenchTaken(NotAllowed):
    """Another phone already enters this bench's readings."""


class BadBenchNumber(Unprocessable):
    """Not a bench number."""

    sentence = N_("A bench number is a whole number between 1 and 99; it is on the bench's card.")


class BenchHasRuns(Conflict):
    """A bench that has sent runs keeps its number."""

    sentence = N_("This bench has sent runs, so it keeps its number. Ask the teacher to put it right.")
