"""What it costs to answer a waiting page that nothing is new: the board's and a phone's."""

from __future__ import annotations

import tempfile
import urllib.request
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import repeat
from pathlib import Path
from statistics import median

from app.practicals.people.sessions import NO_BROWSER, begin_session
from tests.benchmarks.load.clients import Client, ask_all, request_of
from tests.benchmarks.load.phones import joined
from tests.benchmarks.load.servers import BothServers, both, processor_seconds
from tests.benchmarks.rows import ROUNDS, Row
from tests.practicals.a_class import AClass
from tests.serving import Served

CLIENTS, POLLS = 8, 60
SCRIPT = {"X-Plumbfall": "script"}


def rows() -> Iterator[Row]:
    """The rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder, both(Path(folder), "SQLite") as servers:
        lesson = servers.ours.a_class()
        phone = joined(servers.ours, lesson, 1)  # first: it is something new
        own = {
            "board": board_poll(servers.ours, lesson),
            "phone": phone.watch(tag_of(servers.ours, "/bench/class", phone.headers)),
        }
        for what, ask in own.items():
            yield from _of(servers, what, ask)


def _of(servers: BothServers, what: str, ask: bytes) -> Iterator[Row]:
    address, cookie = servers.bare.address, {"Cookie": "session=a-token"}
    bare = {
        "bare 304": (request_of(address, "/nothing"), "0.3"),
        "bare, one session, one revision": (request_of(address, "/known", cookie), "0.7"),
    }
    for against, (other, aim) in bare.items():
        pairs = []
        for _ in range(ROUNDS + 1):
            pairs.append((_polled(servers, True, ask), _polled(servers, False, other)))
        pairs = pairs[1:]  # the first warms both up
        for place, name, unit, shown in (
            (0, f"{what} poll, nothing new", "1/s", aim),
            (1, "  its processor time", "ms", ""),
        ):
            ours, theirs = (median(one[place] for one in side) for side in zip(*pairs, strict=True))
            ratio = median(one[place] / other[place] for one, other in pairs)
            yield Row(name, against, ours, theirs, unit, ratio, shown if what == "board" else "", ROUNDS)


def _polled(servers: BothServers, ours: bool, ask: bytes) -> tuple[float, float]:
    """Answers a second, and processor milliseconds of one."""
    address = servers.ours.address if ours else servers.bare.address
    process = servers.ours.process if ours else servers.bare.process
    clients = [Client(address, repeat(ask, POLLS), status=304) for _ in range(CLIENTS)]
    before = processor_seconds(process)
    answers = ask_all(clients)
    spent = processor_seconds(process) - before
    return answers.per_second, 1000 * spent / len(answers.waits)


def board_poll(served: Served, lesson: AClass) -> bytes:
    """The question of a board that shows the newest picture."""
    with lesson.database.writing() as session:
        token = begin_session(session, lesson.teacher.teacher_id, datetime.now(UTC), NO_BROWSER)
    headers = {**SCRIPT, "Cookie": f"plumbfall-teacher={token}"}
    path = f"/board/{lesson.practical_id}/picture"
    return request_of(served.address, path, {**headers, "If-None-Match": tag_of(served, path, headers)})


def tag_of(served: Served, path: str, headers: dict[str, str]) -> str:
    """The tag of the newest picture."""
    asked = urllib.request.Request(f"{served.address}{path}", headers={**headers, "Accept-Language": "en"})
    with urllib.request.urlopen(asked, timeout=60) as answer:
        return str(answer.headers["ETag"])
