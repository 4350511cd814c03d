"""Why a run, a correction or a decision is not taken in; each is one sentence."""

from __future__ import annotations

from app.records.choices import PracticalState
from app.records.errors import Conflict, Unprocessable
from app.words import N_, Message

LONGEST_REASON = 500
LONGEST_BENCH_WORDS = 80
"""Enough for what went wrong with a reading, too little for a letter (our own choice)."""


class PracticalClosed(Conflict):
    """The practical takes nothing in at the moment; `state` says which moment it is."""

    def __init__(self, state: PracticalState) -> None:
        sentences = {
            PracticalState.PLANNED: N_(
                "This practical is not open yet, so nothing was stored. Ask the teacher to open it."
            ),
            PracticalState.PAUSED: N_(
                "The teacher has paused the class. Keep your readings; send them when it carries on."
            ),
            PracticalState.FINISHED: N_(
                "This practical is finished, so nothing was stored."
                " Keep your readings and ask the teacher to reopen it."
            ),
        }
        super().__init__(Message(sentences[state]))
        self.state = state


class NotLetIn(Conflict):
    """The bench is beyond the plan, and its teacher has not let it in yet."""

    sentence = N_("This bench waits for your teacher to let it in. Keep your readings until then.")


class KeyUsedOtherwise(Unprocessable):
    """The key of a stored run came again with other readings."""

    sentence = N_(
        "This run was stored before with other readings. Look at your runs and correct it there if need be."
    )


class BadKey(Unprocessable):
    """A run came without a usable key."""

    sentence = N_("The page sent this run without its key. Reload the page and send it again.")


class RunChangedMeanwhile(Conflict):
    """Someone corrected or decided about this run after the page was loaded."""

    sentence = N_(
        "This run was changed by someone else after you opened it. Look at it as it is now, then decide."
    )


class ReasonMissing(Unprocessable):
    """A teacher's correction or decision needs a reason."""

    sentence = N_("Give a reason of up to 500 characters, so that the class can see why.")


class WordsTooLong(Unprocessable):
    """A bench wrote more about its correction than is kept."""

    sentence = N_("Say in at most %(most)s characters what was wrong, without names.")


class TooManyRuns(Unprocessable):
    """More runs than any bench could do in a lesson."""

    sentence = N_("This bench has sent 200 runs, and no more are taken in. Ask the teacher.")
