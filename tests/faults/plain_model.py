"""A practical's life as plain Python would keep it: what the records are held against, step by step."""

from __future__ import annotations

from dataclasses import dataclass, field

from app.records.choices import ActorKind, DecisionAction, PracticalState

PLANNED, COLLECTING, PAUSED, FINISHED = PracticalState
MOVES = {
    "open": ({PLANNED}, COLLECTING),
    "pause": ({COLLECTING}, PAUSED),
    "resume": ({PAUSED}, COLLECTING),
    "finish": ({COLLECTING, PAUSED}, FINISHED),
    "reopen": ({FINISHED}, COLLECTING),
}


class Refused(Exception):
    """The model does not allow it."""


@dataclass
class PlainRun:
    """A run: each version's end temperature with who gave it, and each decision with the revision it made."""

    number: int
    versions: list[tuple[str, ActorKind]]
    decisions: list[tuple[DecisionAction, str, int]] = field(default_factory=list)
    revision: int = 1
    set_aside: bool = False


@dataclass
class PlainPractical:
    """A practical; `changes` counts what a page that watches must notice."""

    state: PracticalState = PLANNED
    benches: dict[int, list[PlainRun]] = field(default_factory=dict)
    phones: set[int] = field(default_factory=set)
    """The benches that a phone has joined."""
    sent: dict[str, tuple[int, str, PlainRun]] = field(default_factory=dict)
    """By the key of a run, from whose bench it came and with which reading."""
    changes: int = 0

    def move(self, name: str) -> None:
        """A step of the lesson; what is done already changes nothing."""
        allowed, state = MOVES[name]
        if self.state == state:
            return
        if self.state not in allowed:
            raise Refused
        self.state = state
        self.changes += 1

    def join(self, number: int) -> None:
        """A first phone joins a bench, for which its teacher may have typed runs before."""
        if self.state != COLLECTING or number in self.phones:
            raise Refused
        self.phones.add(number)
        self.benches.setdefault(number, [])
        self.changes += 1

    def enter(self, number: int, key: str, end: str, by: ActorKind) -> int:
        """A run comes in once; its number."""
        if key in self.sent:
            bench, reading, run = self.sent[key]
            if (bench, reading) != (number, end):
                raise Refused
            return run.number
        self._require_open(by)
        runs = self.benches.setdefault(number, [])
        run = PlainRun(len(runs) + 1, [(end, by)])
        runs.append(run)
        self.sent[key] = (number, end, run)
        self.changes += 1
        return run.number

    def correct(self, run: PlainRun, end: str, by: ActorKind, seen: int) -> None:
        """A version more, if nothing else happened to the run since."""
        self._require_open(by)
        if seen != run.revision:
            raise Refused
        run.versions.append((end, by))
        run.revision += 1
        self.changes += 1

    def decide(self, run: PlainRun, action: DecisionAction, reason: str, seen: int) -> None:
        """Set aside or counted; the same pressed twice changes nothing."""
        wanted = action == DecisionAction.SET_ASIDE
        if seen != run.revision:
            if seen != run.revision - 1 or run.decisions[-1:] != [(action, reason, run.revision)]:
                raise Refused
        elif run.set_aside != wanted or not wanted:
            run.set_aside = wanted
            run.revision += 1
            run.decisions.append((action, reason, run.revision))
            self.changes += 1

    def _require_open(self, by: ActorKind) -> None:
        if self.state != COLLECTING and not (self.state == PAUSED and by == ActorKind.TEACHER):
            raise Refused
