"""A class of phones talks to real servers; then the database is looked at."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.practicals.board.snapshot import class_snapshot
from app.records.migrate import open_database
from app.records.models import Run, RunVersion
from tests.conftest import database_of_its_own
from tests.faults.forked import Nursery
from tests.faults.phones import Phone
from tests.practicals.a_class import AClass, revision_of
from tests.serving import a_class_in

PHONES, RUNS = 24, 3


@pytest.fixture(
    params=["one server on SQLite", pytest.param("two servers on PostgreSQL", marks=pytest.mark.long)]
)
def school(
    request: pytest.FixtureRequest, nursery: Nursery, tmp_path: Path, worker_id: str
) -> Iterator[tuple[list[str], AClass]]:
    """The servers' addresses and a class that is collecting."""
    secret = {"PLUMBFALL_SECRET_KEY": secrets.token_hex(32)}
    with ExitStack() as stack:
        if "SQLite" in request.param:
            names, url = ["one"], f"sqlite:///{tmp_path / 'plumbfall.db'}"
        else:
            names, url = ["one", "two"], stack.enter_context(database_of_its_own(f"http_{worker_id}"))
        database = open_database(url)
        stack.callback(database.close)
        served = [stack.enter_context(nursery.serving(tmp_path / name, url, **secret)) for name in names]
        yield [one.address for one in served], a_class_in(database, planned_benches=PHONES)


def test_a_class_of_phones_sends_at_once_and_every_run_is_there_once(
    school: tuple[list[str], AClass],
) -> None:
    servers, lesson = school
    phones = [Phone(servers, lesson.practical.join_code or "", n) for n in range(1, PHONES + 1)]
    benches = {
        bench.number: bench.bench_id
        for bench in class_snapshot(lesson.database, lesson.practical_id, actor=lesson.teacher).benches
    }
    assert sorted(benches) == list(range(1, PHONES + 1))
    before = revision_of(lesson.database, lesson.practical_id)
    told: dict[int, list[tuple[dict[str, object], dict[str, object]]]] = {n: [] for n in benches}
    failures: list[BaseException] = []

    def work(phone: Phone) -> None:
        try:
            for place in range(RUNS):
                key = secrets.token_hex(16)
                first = phone.send(benches[phone.number], key, phone.number + place)
                again = phone.send(benches[phone.number], key, phone.number + place + 1)
                told[phone.number].append((first, again))
        except BaseException as error:
            failures.append(error)

    workers = [threading.Thread(target=work, args=(phone,)) for phone in phones]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert failures == []
    for answers in told.values():
        assert [first["run"] for first, _ in answers] == [1, 2, 3]
        assert all(first == again for first, again in answers), "the same run, the same answer"
    with lesson.database.reading() as session:
        for table in (Run, RunVersion):
            assert session.scalar(select(func.count()).select_from(table)) == PHONES * RUNS
        assert {str(v) for v in session.scalars(select(RunVersion.__table__.c.start_temperature_text))} == {
            "19,2"
        }
    assert before is not None
    assert revision_of(lesson.database, lesson.practical_id) == before + PHONES * RUNS
