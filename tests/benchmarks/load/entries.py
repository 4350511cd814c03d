"""How many runs a second are taken in from 8 phones, each on the disk before it is answered.

Against the bare application with (a) one row inserted, and (b) the same durable work as ours: one session
looked up, two rows inserted, one revision raised. A further row asks whether it stays so while the runs of a
bench grow in number.
"""

from __future__ import annotations

import os
import secrets
import tempfile
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from statistics import median

from sqlalchemy.orm import Session

from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.entry import columns_of
from app.practicals.runs.storing import store_run
from app.records.models import Bench, Practical
from tests.benchmarks.load.clients import Client, ask_all, request_of
from tests.benchmarks.load.phones import READINGS, Phone, joined
from tests.benchmarks.load.servers import DATABASES, BothServers, both, processor_seconds
from tests.benchmarks.rows import ROUNDS, Row
from tests.conftest import ADDRESS
from tests.practicals.a_class import an_entry

CLIENTS, RUNS = 8, 12
AIMS = {"SQLite": ("0.3", "0.6"), "PostgreSQL": ("0.25", "0.6")}
MANY_RUNS = 150


def rows() -> Iterator[Row]:
    """The rows of this benchmark."""
    for database in DATABASES:
        if database == "PostgreSQL" and ADDRESS not in os.environ:
            continue
        with tempfile.TemporaryDirectory() as folder, both(Path(folder), database) as servers:
            yield from _of(servers, database)


def _of(servers: BothServers, database: str) -> Iterator[Row]:
    what = f"entries, {CLIENTS} clients, {database}"
    _bare(servers, "/insert")
    _ours(servers)
    taken = []
    for _ in range(ROUNDS):
        taken.append((_ours(servers), _bare(servers, "/insert"), _bare(servers, "/send")))
    for place, against, aim in (
        (1, "bare, one durable insert", AIMS[database][0]),
        (2, "bare, the same durable work", AIMS[database][1]),
    ):
        yield _row(what, against, "1/s", aim, [(one[0].rate, one[place].rate) for one in taken])
        pairs = [(one[place].processor_ms, one[0].processor_ms) for one in taken]
        yield _row(
            f"  its processor time ({database})", against, "ms", "", [(own, other) for other, own in pairs]
        )
    yield _as_runs_grow(servers, database)


def _row(what: str, against: str, unit: str, aim: str, pairs: list[tuple[float, float]]) -> Row:
    ours, theirs = (median(side) for side in zip(*pairs, strict=True))
    return Row(
        what, against, ours, theirs, unit, median(own / other for own, other in pairs), aim, len(pairs)
    )


class Taken:
    """What one burst of entries came to."""

    def __init__(self, servers: BothServers, ours: bool, clients: Callable[[], list[Client]]) -> None:
        process = servers.ours.process if ours else servers.bare.process
        made = clients()
        before = processor_seconds(process)
        answers = ask_all(made)
        self.rate = answers.per_second
        self.processor_ms = 1000 * (processor_seconds(process) - before) / len(answers.waits)


def _ours(servers: BothServers) -> Taken:
    phones = _phones(servers)
    return Taken(servers, True, lambda: [_sending(phone, RUNS) for phone in phones])


def _phones(servers: BothServers) -> list[Phone]:
    lesson = servers.ours.a_class(planned_benches=CLIENTS)
    return [joined(servers.ours, lesson, number) for number in range(1, CLIENTS + 1)]


def _sending(phone: Phone, runs: int) -> Client:
    return Client(phone.address, iter([phone.send()[1] for _ in range(runs)]))


def _bare(servers: BothServers, path: str) -> Taken:
    return Taken(
        servers,
        False,
        lambda: [Client(servers.bare.address, islice(_asks(servers, path), RUNS)) for _ in range(CLIENTS)],
    )


def _asks(servers: BothServers, path: str) -> Iterator[bytes]:
    while True:
        form = {**READINGS, "key": secrets.token_hex(16)}
        yield request_of(servers.bare.address, path, {"Cookie": "session=a-token"}, form)


def _as_runs_grow(servers: BothServers, database: str) -> Row:
    """Benches that have many runs beside new ones: 1 is flat."""
    old = _phones(servers)
    with servers.ours.database.writing() as session:
        for phone in old:
            _fill(session, phone, MANY_RUNS)
    pairs = []
    for _ in range(ROUNDS):
        pairs.append((_burst(servers, old), _burst(servers, _phones(servers))))
    what = f"an entry of a bench with {MANY_RUNS} runs, {database}"
    return _row(what, "of a bench with none (processor)", "ms", "0.8 to 1.2", pairs)


def _burst(servers: BothServers, phones: list[Phone]) -> float:
    """Processor milliseconds of an entry."""
    return Taken(servers, True, lambda: [_sending(phone, 8) for phone in phones]).processor_ms


def _fill(session: Session, phone: Phone, runs: int) -> None:
    bench = session.get_one(Bench, phone.bench_id)
    practical = session.get_one(Practical, bench.practical_id)
    actor, now = BenchIdentity(practical.id, bench.id, bench.number, 0), bench.joined_at
    for _ in range(runs):
        store_run(session, practical, bench, actor, secrets.token_hex(16), columns_of(an_entry()), now)
