"""Many classes at once on one server: 40 × 12 benches that enter runs, 40 boards and 480 phones that ask.

    python -m tests.benchmarks lessons --minutes 10

Each page asks two seconds after its last answer, as the product's do; each bench sends a run every four
minutes, as quickly as one can be made. A run that is answered "busy", or whose connection is lost, is sent
again with its own key, as phones do. At the end the records are looked at: every run that was answered for is
there once. The walls show who has reported. SQLite, server and clients on one machine.
"""

from __future__ import annotations

import heapq
import random
import selectors
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import numpy as np
from sqlalchemy import select

from app.records.models import Run
from tests.benchmarks.load.clients import HEAD_ENDS, Client
from tests.benchmarks.load.phones import Phone, form_token, joined
from tests.benchmarks.load.polls import board_poll
from tests.benchmarks.load.servers import OURS, THREADS, resident_MB
from tests.benchmarks.rows import Row
from tests.serving import Served, serving

CLASSES, BENCHES = 40, 12
ASK_SECONDS, RUN_SECONDS, AGAIN_SECONDS = 2.0, 240.0, 2.0


@dataclass
class Seen:
    """What the clients saw."""

    entries: list[float] = field(default_factory=list)
    polls: list[float] = field(default_factory=list)
    errors: Counter[str] = field(default_factory=Counter)
    acknowledged: list[str] = field(default_factory=list)


class Talker(Client):
    """A page: what it asks, what it makes of the answer, and after how many seconds it asks again."""

    def __init__(
        self, address: str, ask: Callable[[], bytes], answered: Callable[[bytes, float], float]
    ) -> None:
        super().__init__(address, iter(()))
        self.what, self.answered = ask, answered


def rows(minutes: float = 1.0) -> Iterator[Row]:
    """The rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        own = serving(Path(folder), program=OURS, PLUMBFALL_THREADS=str(THREADS))
        with own as served:
            seen, talkers = Seen(), []
            token = form_token(served.address)
            for _ in range(CLASSES):
                lesson = served.a_class(planned_benches=BENCHES)
                phones = [joined(served, lesson, number, token) for number in range(1, BENCHES + 1)]
                talkers.append(_page(served, board_poll(served, lesson), seen))
                talkers += [_page(served, phone.watch('W/"none"'), seen) for phone in phones]
                talkers += [_sender(phone, seen) for phone in phones]
            _talk(talkers, 60 * minutes, seen)
            memory = resident_MB(served.process)
            with served.database.reading() as session:
                stored = Counter(session.scalars(select(Run.idempotency_key)))
    lost = sum(stored[key] != 1 for key in seen.acknowledged)
    against = f"{CLASSES} classes × {BENCHES} benches, {minutes:g} min"
    yield _waits("p50 and p99 of an entry", against, seen.entries, "p99 under 20 × p50")
    yield _waits("p50 and p99 of a poll", against, seen.polls, "")
    rate = len(seen.polls) / (60 * minutes)
    yield Row("polls a second", against, rate, None, "1/s", None, "")
    yield Row("runs acknowledged, and lost", against, len(seen.acknowledged), lost, "runs", None, "0 lost")
    busy = seen.errors.pop("busy", 0)
    yield Row("answered “busy”, sent again", against, busy, None, "times", None, "")
    wrong = ", ".join(f"{what}: {times}" for what, times in seen.errors.items())
    yield Row("errors", wrong or against, seen.errors.total(), None, "times", None, "0")
    yield Row("memory after it", against, memory, None, "MB", None, "")


def _waits(what: str, against: str, waits: list[float], aim: str) -> Row:
    middle, slow = (1000 * float(np.quantile(waits, share)) for share in (0.5, 0.99))
    return Row(what, against, middle, slow, "ms", slow / middle, aim)


def _page(served: Served, first: bytes, seen: Seen) -> Talker:
    """A board, or a phone that shows what the wall shows."""
    ask = [first]

    def answered(answer: bytes, wait: float) -> float:
        seen.polls.append(wait)
        head = answer[: answer.find(HEAD_ENDS)].decode("latin-1")
        status = head[9:12]
        if status not in ("200", "304"):
            seen.errors[f"poll {status}"] += 1
        tags = [line for line in head.split("\r\n") if line.lower().startswith("etag:")]
        if tags:
            lines = ask[0].decode("latin-1").split("\r\n")
            tag = tags[0].split(":", 1)[1].strip()
            lines = [f"If-None-Match: {tag}" if line.startswith("If-None-Match:") else line for line in lines]
            ask[0] = "\r\n".join(lines).encode("latin-1")
        return ASK_SECONDS * random.uniform(0.9, 1.1)

    return Talker(served.address, lambda: ask[0], answered)


def _sender(phone: Phone, seen: Seen) -> Talker:
    kept: dict[str, bytes] = {}  # what a phone keeps until the server has named it
    begun = [0.0]

    def ask() -> bytes:
        if not kept:
            key, sent = phone.send()
            kept[key], begun[0] = sent, time.perf_counter()
        return next(iter(kept.values()))

    def answered(answer: bytes, _wait: float) -> float:
        status = answer[9:12].decode()
        if status == "503":
            seen.errors["busy"] += 1
            return AGAIN_SECONDS
        if status != "200":
            seen.errors[f"send {status}"] += 1
            return AGAIN_SECONDS
        seen.entries.append(time.perf_counter() - begun[0])
        seen.acknowledged.append(kept.popitem()[0])
        return RUN_SECONDS * random.uniform(0.9, 1.1)

    return Talker(phone.address, ask, answered)


def _talk(talkers: list[Talker], seconds: float, seen: Seen) -> None:
    """Let them all talk for so long, each at a moment of its own; what is under way then is waited for."""
    turn, began = count(), time.perf_counter()
    due: list[tuple[float, int, Talker]] = []
    for talker in talkers:
        sends = talker.answered.__qualname__.startswith("_sender")
        first = random.uniform(0, min(RUN_SECONDS, seconds) if sends else ASK_SECONDS)
        heapq.heappush(due, (began + first, next(turn), talker))
    with selectors.DefaultSelector() as waiting:
        while (now := time.perf_counter()) < began + seconds or waiting.get_map():
            while due and due[0][0] <= now < began + seconds:
                _, _, talker = heapq.heappop(due)
                talker.send(talker.what(), waiting)
            for key, _ in waiting.select(0.02):
                talker = key.data
                try:
                    answer = talker.take(waiting)
                except ConnectionError:
                    seen.errors["connection lost"] += 1
                    talker.close(waiting)
                    heapq.heappush(due, (time.perf_counter() + AGAIN_SECONDS, next(turn), talker))
                    continue
                if answer is not None:
                    talker.close(waiting)
                    after = talker.answered(answer, time.perf_counter() - talker.asked_at)
                    heapq.heappush(due, (time.perf_counter() + after, next(turn), talker))
