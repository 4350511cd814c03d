"""Why a phone is not let in, or not at that bench; each is one sentence."""

from __future__ import annotations

from app.records.errors import Conflict, NotAllowed, NotFound, Unprocessable
from app.words import N_, Message


class WrongCode(NotFound):
    """No class is open under this code. After many of them a pause is asked for."""

    def __init__(self, retry_after_seconds: int) -> None:
        super().__init__(
            Message(N_("No class is open under that code. Check it against the board and type it again."))
        )
        self.retry_after_seconds = retry_after_seconds


class ClassPaused(Conflict):
    """The code is right, but the teacher has paused the class."""

    def __init__(self) -> None:
        super().__init__(Message(N_("The teacher has paused the class. Try again when it carries on.")))


class NotOpenYet(Conflict):
    """The code is right, but the class is only planned."""

    def __init__(self) -> None:
        super().__init__(
            Message(N_("Your class is not open yet. Wait for the teacher to open it, then try again."))
        )


class BenchTaken(NotAllowed):
    """Another phone already enters this bench's readings."""


class BadBenchNumber(Unprocessable):
    """Not a bench number."""

    def __init__(self) -> None:
        super().__init__(
            Message(N_("A bench number is a whole number between 1 and 99; it is on the bench's card."))
        )


class BenchHasRuns(Conflict):
    """A bench that has sent runs keeps its number."""

    def __init__(self) -> None:
        super().__init__(
            Message(N_("This bench has sent runs, so it keeps its number. Ask the teacher to put it right."))
        )
