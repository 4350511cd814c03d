"""Servers and databases killed while phones send: what was acknowledged is there, once and whole."""

from __future__ import annotations

import os
import random
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from sqlalchemy import select, text

from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.storing import MOST_RUNS
from app.records.engine import Database
from app.records.migrate import open_database
from app.records.models import Run, RunVersion
from app.records.whole_file import check_file
from tests.conftest import database_of_its_own
from tests.faults.forked import Forked, Nursery
from tests.faults.own_postgresql import OwnPostgreSQL, own_postgresql
from tests.faults.phones import KeepingPhone, Phone
from tests.practicals.a_class import AClass
from tests.profiles import tries
from tests.serving import a_class_in, free_port

pytestmark = pytest.mark.skipif(os.name == "nt", reason="needs a hard kill")
PHONES = 6
MOST_BEFORE_THE_KILL = 16
"""Runs that all phones together have sent, at most, when it comes."""


@dataclass
class Tally:
    """What became of the runs, over all rounds."""

    rounds: int = 0
    acknowledged: int = 0
    cut_off: int = 0
    lost: int = 0
    doubled: int = 0
    half: int = 0
    odd: list[object] = field(default_factory=list)

    def __str__(self) -> str:
        return (
            f"{self.rounds} rounds, {self.acknowledged} runs acknowledged, {self.cut_off} cut off and sent"
            f" again, {self.lost} lost, {self.doubled} doubled, {self.half} half stored"
        )

    @property
    def faultless(self) -> bool:
        """Whether each run is there exactly once."""
        return self.lost == self.doubled == self.half == 0 and not self.odd

    def look(self, one: AClass, phones: list[KeepingPhone]) -> None:
        """Hold what the phones were told against what the records have."""
        told = {key: (phone.bench_id, number) for phone in phones for key, number in phone.named.items()}
        with one.database.reading() as session:
            runs = session.scalars(select(Run).where(Run.practical_id == one.practical_id)).all()
            ids = [run.id for run in runs]
            versions = Counter(
                session.scalars(select(RunVersion.run_id).where(RunVersion.run_id.in_(ids))).all()
            )
        stored = Counter((run.idempotency_key, run.bench_id, run.number) for run in runs)
        self.rounds += 1
        self.acknowledged += len(told)
        self.lost += sum((key, *place) not in stored for key, place in told.items())
        self.doubled += sum(stored.values()) - len({key for key, _, _ in stored})
        self.doubled += len(runs) - len({(run.bench_id, run.number) for run in runs})
        self.half += sum(versions[run.id] != 1 or run.latest_version != 1 for run in runs)
        self.odd += [key for key, _, _ in stored if key not in told]
        self.odd += [answer for phone in phones for answer in phone.refused]


Kill = Callable[[], None]


def a_round(
    one: AClass, address: str, kill: Kill, revive: Callable[[], None], chance: random.Random, tally: Tally
) -> None:
    """Phones send until the kill, keep what was cut off, and send it when the server is back."""
    code = one.practical.join_code or ""
    joined = [Phone([address], code, number) for number in range(1, PHONES + 1)]
    benches = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    phones = [KeepingPhone(phone, bench.bench_id) for phone, bench in zip(joined, benches, strict=True)]
    wanted, over = chance.randint(1, MOST_BEFORE_THE_KILL), threading.Event()

    def send(phone: KeepingPhone) -> None:
        while not over.is_set() and len(phone.named) < MOST_RUNS:
            if not phone.send_one():
                time.sleep(0.01)

    workers = [threading.Thread(target=send, args=(phone,)) for phone in phones]
    for worker in workers:
        worker.start()
    while sum(len(phone.named) for phone in phones) < wanted and any(w.is_alive() for w in workers):
        time.sleep(0.001)
    time.sleep(chance.uniform(0, 0.02))  # at any moment of a transaction
    kill()
    time.sleep(0.02)
    over.set()
    for worker in workers:
        worker.join()
    one.database.close()
    revive()
    tally.cut_off += sum(phone.kept is not None for phone in phones)
    for phone in phones:
        for _ in range(100):
            if phone.kept is None or phone.send_one():
                break
            time.sleep(0.1)
        if phone.kept is not None or not phone.asks_again():
            tally.odd.append("a run that was not taken again")
    tally.look(one, phones)


class Server:
    """A server that can be killed and is started again on the same port."""

    def __init__(self, nursery: Nursery, folder: Path, database_url: str) -> None:
        port = free_port()
        self._start = lambda: nursery.start(folder, database_url, port)
        self.running: Forked = self._start()

    @property
    def address(self) -> str:
        """The same after each start."""
        return self.running.address

    def kill(self) -> None:
        """Without warning."""
        self.running.kill()

    def revive(self) -> None:
        """As whoever looks after it would."""
        self.running = self._start()


def killed_again_and_again(
    nursery: Nursery, folder: Path, database: Database, rounds: int, seed: int
) -> Tally:
    """Rounds in each of which the server is killed."""
    url = database.url.render_as_string(hide_password=False)
    server, tally, chance = Server(nursery, folder, url), Tally(), random.Random(seed)
    try:
        for _ in range(rounds):
            one = a_class_in(database, planned_benches=PHONES)
            a_round(one, server.address, server.kill, server.revive, chance, tally)
    finally:
        server.running.end()
    return tally


def test_a_server_on_sqlite_that_is_killed_has_every_run_it_acknowledged(
    nursery: Nursery, sqlite_database: Database, tmp_path: Path, told: Callable[[str], None]
) -> None:
    tally = killed_again_and_again(nursery, tmp_path, sqlite_database, tries(2, 200), 1)
    told(f"kill -9 of the server, SQLite: {tally}")
    assert tally.faultless, tally
    assert tally.acknowledged > PHONES
    assert check_file(tmp_path / "plumbfall.db") == "ok"


@pytest.mark.long
def test_a_server_on_postgresql_that_is_killed_has_every_run_it_acknowledged(
    nursery: Nursery, tmp_path: Path, worker_id: str, told: Callable[[str], None]
) -> None:
    with database_of_its_own(f"killed_{worker_id}") as address:
        database = open_database(address)
        tally = killed_again_and_again(nursery, tmp_path, database, tries(1, 100), 2)
        database.close()
    told(f"kill -9 of the server, PostgreSQL: {tally}")
    assert tally.faultless, tally
    assert tally.acknowledged > PHONES


@pytest.fixture
def own() -> Iterator[OwnPostgreSQL]:
    with own_postgresql() as running:
        yield running


@pytest.mark.long
def test_a_postgresql_that_is_killed_or_stopped_has_every_run_and_the_server_goes_on(
    nursery: Nursery, own: OwnPostgreSQL, tmp_path: Path, told: Callable[[str], None]
) -> None:
    database, tally, chance = open_database(own.address), Tally(), random.Random(3)

    def gone(kill: Kill) -> None:
        kill()
        assert not server.says_ready(), "no records, no readiness"

    with nursery.serving(tmp_path, own.address) as server:
        for place in range(tries(2, 20)):
            one = a_class_in(database, planned_benches=PHONES)
            kill = own.stop if place % 10 == 1 else own.kill
            a_round(one, server.address, lambda kill=kill: gone(kill), own.start, chance, tally)  # type: ignore[misc]
            assert server.says_ready()
            with database.reading() as session:
                stuck = session.scalar(text(STUCK))
            assert stuck == 0, "no transaction of the server is left open"
    database.close()
    told(f"kill -9 of PostgreSQL itself (each tenth time a shutdown): {tally}")
    assert tally.faultless, tally
    assert tally.acknowledged > PHONES


STUCK = "SELECT count(*) FROM pg_stat_activity WHERE state LIKE 'idle in transaction%'"
