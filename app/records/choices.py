"""Columns that hold one of a few words: each list once, for the tables, the use cases and the pages.

The words stand in the databases, where check constraints hold them: another one needs a migration.
"""

from __future__ import annotations

from enum import StrEnum

from sqlalchemy import CheckConstraint, Enum


class PracticalState(StrEnum):
    """How far a practical is; `app/practicals/lesson/states.py` says what each means."""

    PLANNED = "planned"
    COLLECTING = "collecting"
    PAUSED = "paused"
    FINISHED = "finished"

    @property
    def is_open(self) -> bool:
        """Whether benches may still have something to send: the class is under way."""
        return self in (PracticalState.COLLECTING, PracticalState.PAUSED)


class BenchProgress(StrEnum):
    """How far a bench is with the run under way, in order."""

    JOINED = "joined"
    START_READ = "start read"
    COUNTING = "counting"
    END_READ = "end read"
    SENT = "sent"

    @property
    def in_a_run(self) -> bool:
        """Whether readings are taken and not yet sent."""
        return self not in (BenchProgress.JOINED, BenchProgress.SENT)


class BoardStep(StrEnum):
    """What the wall has revealed, in order; `app/practicals/board/reveal.py` says what each shows."""

    REPORTED = "reported"
    SPREAD = "spread"
    LINE = "line"
    PERCENT_ERROR = "percent error"
    SEPARATED = "separated"
    LEDGER = "ledger"


class DecisionAction(StrEnum):
    """What a teacher's decision does with a run."""

    SET_ASIDE = "set aside"
    COUNTED = "counted"


class GravityHow(StrEnum):
    """How g was obtained."""

    TYPED = "typed"
    LATITUDE = "latitude"
    STANDARD = "standard"


class KeptCause(StrEnum):
    """Why a result was kept."""

    FINISHED = "finished"
    DECIDED = "decided after"
    ANEW = "computed anew"


class ActorKind(StrEnum):
    """Who made a version of a run."""

    BENCH = "bench"
    TEACHER = "teacher"
    SIMULATOR = "simulator"


IN_COLUMNS: tuple[type[StrEnum], ...] = (
    PracticalState,
    BenchProgress,
    BoardStep,
    DecisionAction,
    ActorKind,
    GravityHow,
    KeptCause,
)
"""Those that a check constraint holds."""


class HistoryKind(StrEnum):
    """What happened to a practical or to one of its runs. No check constraint holds these words."""

    PLANNED = "planned"
    BROUGHT_IN = "brought in"
    PLAN_CHANGED = "plan changed"
    OPENED = "opened"
    PAUSED = "paused"
    RESUMED = "resumed"
    FINISHED = "finished"
    REOPENED = "reopened"
    CODE_MADE = "code made"
    CODE_REPLACED = "code replaced"
    BENCH_RELEASED = "bench released"
    BENCH_RENUMBERED = "bench renumbered"
    BENCH_LET_IN = "bench let in"
    BENCH_REFUSED = "bench refused"
    ICE_POINT = "ice point"
    WORDS_REMOVED = "words removed"
    BOARD_STEPPED = "board"
    BOARD_PAUSED = "board paused"
    BOARD_FOLLOWS = "board follows"
    PHONES_SHOW_RESULTS = "phones show results"
    PHONES_HIDE_RESULTS = "phones hide results"
    RUN_ENTERED = "run entered"
    RUN_CORRECTED = "run corrected"
    OWN_CALCULATION = "own calculation"
    SET_ASIDE = "set aside"
    COUNTED = "counted"


CHOICES: tuple[type[StrEnum], ...] = (*IN_COLUMNS, HistoryKind)


def choice(words: type[StrEnum], length: int) -> Enum:
    """The type of a text column of this length that holds one of these words."""
    return Enum(
        words,
        native_enum=False,
        create_constraint=False,  # `only` makes it, under a name of ours
        length=length,
        values_callable=lambda members: [member.value for member in members],
    )


def only(column: str, words: type[StrEnum], *, name: str) -> CheckConstraint:
    """The constraint that a column holds nothing but these words."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=name)
