"""Columns that hold one of a few words: each list once, for the tables, the use cases and the pages.

The words stand in the databases, where check constraints hold them: another one needs a migration.
"""

from __future__ import annotations

from enum import StrEnum

from sqlalchemy import CheckConstraint, Enum


class Role(StrEnum):
    """What someone who signs in is; `app/practicals/people/actors.py` says what each may."""

    TEACHER = "teacher"
    HEAD = "head"
    TECHNICIAN = "technician"


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


OPEN_STATES = tuple(state for state in PracticalState if state.is_open)


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


class PieceKind(StrEnum):
    """What a piece of the department's kit is, in the order in which a bench needs it."""

    TUBE = "tube"
    THERMOMETER = "thermometer"
    BALANCE = "balance"
    LOT = "lot"


class Pace(StrEnum):
    """How quickly the made-up class plays itself."""

    HELD = "held"
    SLOW = "slow"
    USUAL = "usual"


IN_COLUMNS: tuple[type[StrEnum], ...] = (
    PracticalState,
    BenchProgress,
    BoardStep,
    DecisionAction,
    ActorKind,
    GravityHow,
    PieceKind,
    Role,
    KeptCause,
    Pace,
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
    PHONES_ENDED = "phones ended"
    BENCH_RELEASED = "bench released"
    BENCH_RENUMBERED = "bench renumbered"
    BENCH_LET_IN = "bench let in"
    BENCH_REFUSED = "bench refused"
    ICE_POINT = "ice point"
    WORDS_REMOVED = "words removed"
    WORDS_REMOVED_BY_RULE = "words removed by rule"
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
    COVER_GIVEN = "cover given"
    COVER_ENDED = "cover ended"
    OWNER_CHANGED = "owner changed"


class LogKind(StrEnum):
    """What the department's log tells. No check constraint holds these words; a new one needs its sentence in
    `app/web/department/people/log.py`."""

    SIGNED_IN = "signed in"
    SIGN_IN_FAILED = "sign-in failed"
    SIGNED_OUT_EVERYWHERE = "signed out everywhere"
    PASSWORD_CHANGED = "password changed"  # nosec B105 # noqa: S105 - a word of the log
    TEACHER_INVITED = "teacher invited"
    TEACHER_ADDED = "teacher added"
    ROLE_CHANGED = "role changed"
    SWITCHED_OFF = "switched off"
    SWITCHED_ON = "switched on"
    PASSWORD_RESET = "password reset"  # nosec B105 # noqa: S105
    SECOND_STEP_ON = "second step on"
    SECOND_STEP_OFF = "second step off"
    HANDED_OVER = "handed over"
    PRACTICAL_DELETED = "practical deleted"
    DELETED_BY_RULE = "deleted by rule"
    WORDS_REMOVED_BY_RULE = "words removed by rule"
    DOWNLOADED = "downloaded"
    IMPORTED = "imported"
    BACKED_UP = "backed up"
    RESTORED = "restored"
    KEPT_RULE_CHANGED = "kept rule changed"
    PERSON_REMOVED = "person removed"
    PIECE_ADDED = "piece added"
    PIECE_CHANGED = "piece changed"
    PIECE_CHECKED = "piece checked"
    PIECE_RETIRED = "piece retired"
    PIECE_IN_USE_AGAIN = "piece in use again"
    PIECE_DELETED = "piece deleted"


CHOICES: tuple[type[StrEnum], ...] = (*IN_COLUMNS, HistoryKind, LogKind)


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
