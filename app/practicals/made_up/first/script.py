"""The two minutes of the made-up class: a list of moments, each with all that there is to see by then.

A moment says what the class has done so far, so that playing up to a second is looking one up, however often
and by whichever server. The minutes are those of a lesson of 50 minutes. Both are our own choice. Pure.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum

from app.records.choices import BenchProgress, BoardStep
from app.words import N_, Message

LASTS_S = 120
ASKED_BENCH, HELPED_BENCH, ODD_BENCH, ODD_RUN = 2, 4, 3, 2
"""Whose phone asks, who calls the teacher, and which run stands apart."""
ODD_REASON = Message(N_("The bench lost count."))

OPEN = Message(N_("Open for benches"))
BEEN_THERE = Message(N_("I have been there"))
SET_ASIDE = Message(N_("Set it aside"))
REVEAL_NEXT = Message(N_("Reveal next"))
NOW_REVEAL_NEXT = Message(
    N_("You would let the class answer the question below. Now you would tap “Reveal next”.")
)


class Shows(StrEnum):
    """What is to be seen at a moment."""

    WALL = "wall"
    QUESTION = "question"
    NEEDS = "needs"
    CASE = "case"
    END = "end"


@dataclass(frozen=True)
class Moment:
    """One moment: when it begins, what is said about it, and how far the class is.

    `would` is what the teacher would do, `tap` the button of the real page for it. `joined` is the share of
    benches that have joined, `runs` how many runs each bench has sent (1.5: all one, half of them two).
    """

    second: int
    minute: int
    shows: Shows
    says: Message
    would: Message | None = None
    tap: Message | None = None
    joined: float = 1.0
    progress: BenchProgress = BenchProgress.SENT
    runs: float = 0.0
    board: BoardStep = BoardStep.REPORTED
    decided: bool = False


SCRIPT = (
    Moment(
        0,
        0,
        Shows.WALL,
        Message(N_("Your lesson begins. No bench has joined yet.")),
        Message(N_("You would tap “Open for benches”: the wall then shows code and QR.")),
        OPEN,
        joined=0.0,
    ),
    Moment(
        7,
        1,
        Shows.WALL,
        Message(N_("Each bench joins with one phone: it scans the code and reads the cautions.")),
        Message(N_("You would leave the wall like this until all are in.")),
        joined=0.5,
        progress=BenchProgress.JOINED,
    ),
    Moment(
        14,
        4,
        Shows.WALL,
        Message(N_("All are in. They weigh the shot and read the start temperature.")),
        Message(N_("You would walk round: the wall says how far each bench is.")),
        progress=BenchProgress.START_READ,
    ),
    Moment(
        21,
        7,
        Shows.WALL,
        Message(N_("Now they tip the tubes and count. It is loud.")),
        Message(N_("You would look for eye protection, and for hands on both end caps.")),
        progress=BenchProgress.COUNTING,
    ),
    Moment(
        28,
        10,
        Shows.WALL,
        Message(N_("The first runs come in. The wall shows who has sent, and no value.")),
        Message(N_("You would do nothing: no bench can copy another one's value.")),
        progress=BenchProgress.COUNTING,
        runs=0.6,
    ),
    Moment(
        36,
        12,
        Shows.QUESTION,
        Message(N_("One bench typed an unlikely mass. Its phone asks once, before it sends.")),
        Message(N_("You would do nothing: the bench looks again and answers.")),
        progress=BenchProgress.END_READ,
        runs=0.9,
    ),
    Moment(
        44,
        14,
        Shows.NEEDS,
        Message(N_("A bench asks for help. It stands first on your lesson page.")),
        Message(N_("You would go there, then tap “I have been there”.")),
        BEEN_THERE,
        runs=1.0,
    ),
    Moment(
        52,
        22,
        Shows.WALL,
        Message(N_("Every bench makes a second run: one value alone says nothing about the spread.")),
        Message(N_("You would see that the shot has cooled before each start.")),
        runs=2.0,
    ),
    Moment(
        59,
        23,
        Shows.CASE,
        Message(N_("One run stands apart. Your page says why, and waits for you.")),
        Message(N_("You would ask the bench. It lost count: you write that and tap “Set it aside”.")),
        SET_ASIDE,
        runs=2.0,
    ),
    Moment(
        68,
        24,
        Shows.CASE,
        Message(N_("The run is set aside with your reason. It stays in the record.")),
        Message(N_("You could count it again at any time.")),
        runs=2.0,
        decided=True,
    ),
    Moment(
        75,
        34,
        Shows.WALL,
        Message(N_("All runs are in. Now everybody looks at the wall.")),
        NOW_REVEAL_NEXT,
        REVEAL_NEXT,
        runs=3.0,
        decided=True,
    ),
    Moment(
        82,
        36,
        Shows.WALL,
        Message(N_("Every run, and the class value as a band.")),
        NOW_REVEAL_NEXT,
        REVEAL_NEXT,
        runs=3.0,
        board=BoardStep.SPREAD,
        decided=True,
    ),
    Moment(
        90,
        39,
        Shows.WALL,
        Message(N_("Warming against fall energy: more energy, more warming.")),
        NOW_REVEAL_NEXT,
        REVEAL_NEXT,
        runs=3.0,
        board=BoardStep.LINE,
        decided=True,
    ),
    Moment(
        98,
        42,
        Shows.WALL,
        Message(N_("Only now does the accepted value come up beside the class's own.")),
        NOW_REVEAL_NEXT,
        REVEAL_NEXT,
        runs=3.0,
        board=BoardStep.PERCENT_ERROR,
        decided=True,
    ),
    Moment(
        105,
        45,
        Shows.WALL,
        Message(N_("Benches with little and with much shot show what tube and caps took.")),
        NOW_REVEAL_NEXT,
        REVEAL_NEXT,
        runs=3.0,
        board=BoardStep.SEPARATED,
        decided=True,
    ),
    Moment(
        112,
        48,
        Shows.WALL,
        Message(N_("The last step: where the fall energy went.")),
        Message(N_("You would finish the lesson and print its report.")),
        runs=3.0,
        board=BoardStep.LEDGER,
        decided=True,
    ),
    Moment(
        LASTS_S,
        50,
        Shows.END,
        Message(N_("That was the whole lesson.")),
        runs=3.0,
        board=BoardStep.LEDGER,
        decided=True,
    ),
)
_SECONDS = [moment.second for moment in SCRIPT]


def place_at(played_s: float) -> int:
    """The place in the script that has come after so many seconds."""
    return max(0, bisect_right(_SECONDS, played_s) - 1)
