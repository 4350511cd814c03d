"""Which benches need the teacher, during the lesson and before it is finished, and why. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from types import MappingProxyType

from app.physics.working import SLIPPED, UNEXPLAINED, Working
from app.practicals.benches.watch import BenchDetails
from app.practicals.lesson.details import Plan
from app.practicals.runs.own_calculation import working_of
from app.practicals.runs.reading import RunDetails
from app.words import N_, Message

# Our own choices; a run of fifty inversions takes about two minutes (common practice, no source).
SILENT_AFTER = timedelta(minutes=3)
UNSENT_AFTER = timedelta(seconds=45)
NO_RUN_AFTER = timedelta(minutes=12)
NOT_JOINED_AFTER = timedelta(minutes=6)


@dataclass(frozen=True)
class Need:
    """One bench and why it needs the teacher. `steps`: what may have gone wrong; `absent`: nobody joined."""

    bench: int
    why: Message
    hand_up: bool = False
    absent: bool = False
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
        Need(number, Message(N_("Has not joined yet.")), absent=True)
        for number in range(1, planned + 1)
        if number not in joined
    ]


def _minutes(length: timedelta) -> str:
    return str(int(length.total_seconds() // 60))


def needs_of_calculations(runs: Sequence[RunDetails], plan: Plan) -> tuple[Need, ...]:
    """One need a bench: its latest run whose specific heat capacity does not follow."""
    latest: dict[int, Need] = {}
    for run in runs:
        working = working_of(run, plan)
        if working is not None and working.verdict in (SLIPPED, UNEXPLAINED):
            latest[run.bench_number] = _need(run, working)
    return tuple(latest.values())


def _need(run: RunDetails, working: Working) -> Need:
    mine = run.entry.own_heat_capacity
    sentence = N_("Own specific heat capacity of run %(run)s (%(typed)s) does not follow from its readings.")
    steps = dict.fromkeys(_STEPS[slip.slip] for slip in working.slips)
    return Need(
        run.bench_number,
        Message(sentence, {"run": str(run.number), "typed": mine.raw.strip() if mine else ""}),
        steps=tuple(Message(step) for step in steps),
    )


_STEPS: Mapping[str, str] = MappingProxyType(
    {
        "one-fall": N_("Perhaps the energy of one fall instead of all."),
        "grams-for-kilograms": N_("Perhaps 1000 times too large, as with grams for kilograms."),
        "per-gram": N_("Perhaps 1000 times too small, as for one gram."),
        "centimetres-for-metres": N_("Perhaps centimetres for metres."),
        "start-temperature-as-warming": N_("Perhaps the start temperature used as the warming."),
        "end-temperature-as-warming": N_("Perhaps the end temperature used as the warming."),
        "kelvin-added": N_("Perhaps 273 added to the warming."),
        "end-allowance-forgotten": N_("Perhaps the tube's length without the end allowance."),
        "gravity-left-out": N_("Perhaps g left out."),
        "half-the-falls": N_("Perhaps half of the falls."),
        "twice-the-falls": N_("Perhaps twice the falls."),
        "mass-not-divided-out": N_("Perhaps the mass not divided out."),
        "mass-divided-twice": N_("Perhaps divided by the mass once too often."),
        "not-divided-by-warming": N_("Perhaps not divided by the warming."),
        "multiplied-by-warming": N_("Perhaps multiplied by the warming."),
        "wrong-sign": N_("Perhaps start minus end for the warming."),
        "upside-down-ratio": N_("Perhaps the ratio upside down."),
        "no-single-step": N_("No single slip explains it."),
    }
)
"""Each slip of `app.physics.working` as its teacher would name it."""


@dataclass(frozen=True)
class StillOut:
    """Runs that phones said they hold, with their benches, and benches in the middle of a run.

    `phones` says whether any phone is joined: one that lost the network cannot say what it holds.
    """

    runs: int
    holding: tuple[int, ...]
    in_a_run: tuple[int, ...]
    phones: bool


def still_out(benches: Iterable[BenchDetails]) -> StillOut:
    """What is still out, as the phones last told the server."""
    real = [bench for bench in benches if not bench.simulated]
    return StillOut(
        runs=sum(bench.waiting_to_send for bench in real),
        holding=tuple(bench.number for bench in real if bench.waiting_to_send),
        in_a_run=tuple(bench.number for bench in real if bench.phones and bench.progress.in_a_run),
        phones=any(bench.phones for bench in real),
    )
