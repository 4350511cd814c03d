"""Who needs the teacher, and why: worked out from what the desk knows of each bench. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.practicals.benches.watch import BenchDetails
from app.practicals.runs.reading import RunDetails
from app.words import N_, Message

# Our own choices; a run of fifty inversions takes about two minutes (common practice, no source).
SILENT_AFTER = timedelta(minutes=3)
UNSENT_AFTER = timedelta(seconds=45)
NO_RUN_AFTER = timedelta(minutes=12)
NOT_JOINED_AFTER = timedelta(minutes=6)


@dataclass(frozen=True)
class Need:
    """One bench and why it needs the teacher. `steps` are what may have gone wrong."""

    bench: int
    why: Message
    hand_up: bool = False
    steps: tuple[Message, ...] = ()


def needs_of_benches(
    benches: Sequence[BenchDetails],
    *,
    planned: int,
    open_since: datetime | None,
    collecting: bool,
    now: datetime,
) -> tuple[Need, ...]:
    """Every reason to walk to a bench, hands up first, then by bench number."""
    needs = [need for bench in benches for need in _needs_of(bench, collecting, now)]
    if collecting and open_since is not None and now - open_since > NOT_JOINED_AFTER:
        needs += _missing({bench.number for bench in benches}, planned)
    return hands_first(needs)


def needs_of_unanswered(runs: Iterable[RunDetails]) -> tuple[Need, ...]:
    """Runs with an unlikely reading that the phone, without network, could not ask about."""
    sentence = N_(
        "Run %(run)s was sent before its phone could ask about an unlikely reading."
        " The question now stands on the phone, under “Our runs”."
    )
    return tuple(
        Need(run.bench_number, Message(sentence, {"run": str(run.number)}))
        for run in runs
        if run.waits_for_an_answer
    )


def hands_first(needs: Iterable[Need]) -> tuple[Need, ...]:
    """In the order in which a teacher walks: hands up, then by bench number."""
    return tuple(sorted(needs, key=lambda need: (not need.hand_up, need.bench)))


def _needs_of(bench: BenchDetails, collecting: bool, now: datetime) -> list[Need]:
    found: list[Need] = []
    silent = now - bench.last_seen_at
    if bench.asked_for_help_at is not None:
        found.append(Need(bench.number, Message(N_("Asks for help.")), hand_up=True))
    if bench.simulated or not collecting:
        return found
    if bench.waiting_to_send and silent > UNSENT_AFTER:
        found.append(Need(bench.number, _unsent(bench.waiting_to_send)))
    elif bench.progress.in_a_run and silent > SILENT_AFTER:
        found.append(
            Need(
                bench.number,
                Message(
                    N_("In the middle of a run, and its phone has not been seen for %(minutes)s min."),
                    {"minutes": _minutes(silent)},
                ),
            )
        )
    elif not bench.runs and now - bench.joined_at > NO_RUN_AFTER:
        found.append(
            Need(
                bench.number,
                Message(
                    N_("Joined %(minutes)s min ago and has sent no run."),
                    {"minutes": _minutes(now - bench.joined_at)},
                ),
            )
        )
    return found


def _unsent(count: int) -> Message:
    if count == 1:
        return Message(N_("Holds a run that is not sent: its phone may have lost the network."))
    return Message(
        N_("Holds %(count)s runs that are not sent: its phone may have lost the network."),
        {"count": str(count)},
    )


def _missing(joined: Collection[int], planned: int) -> list[Need]:
    """Benches that are planned and have not joined, once more than half of the class has."""
    if 2 * len(joined) <= planned:
        return []
    return [
        Need(number, Message(N_("Has not joined yet.")))
        for number in range(1, planned + 1)
        if number not in joined
    ]


def _minutes(length: timedelta) -> str:
    return str(int(length.total_seconds() // 60))
