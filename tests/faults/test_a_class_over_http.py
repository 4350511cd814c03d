"""A class of phones talks to real servers; then the database is looked at."""

from __future__ import annotations

import json
import secrets
import threading
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, select

from app.practicals.board.snapshot import class_snapshot
from app.records.models import Run, RunVersion
from tests.conftest import database_of_its_own
from tests.practicals.a_class import AClass, revision_of
from tests.serving import serving

PHONES, RUNS = 24, 3
READINGS = {
    "shot_mass": "340",
    "shot_mass_unit": "g",
    "tube_length": "100",
    "tube_length_unit": "cm",
    "end_allowance": "5",
    "end_allowance_unit": "cm",
    "inversions": "50",
    "start_temperature": "19,2",
    "start_temperature_unit": "°C",
    "end_temperature": "22.4",
    "end_temperature_unit": "°C",
}


class Phone:
    """A phone's script without the phone: it keeps a run and sends it until a server names it."""

    def __init__(self, servers: list[str], code: str, number: int) -> None:
        self.servers, self.number = servers, number
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        self.token = self._ask(servers[0], "/bench/token")[1]["token"]
        self._ask(servers[0], f"/j/{code}", {"number": str(number), "csrf_token": self.token})

    def send(self, bench_id: int, key: str, server: int) -> dict[str, object]:
        """Send one run, through "busy" and lost answers, to this server."""
        body = {**READINGS, "key": key, "bench": str(bench_id)}
        while True:
            status, answer = self._ask(self.servers[server % len(self.servers)], "/bench/send", body)
            if status == 200:
                saved: dict[str, object] = answer["saved"]
                return saved
            assert status == 503, answer

    def _ask(self, server: str, path: str, body: dict[str, str] | None = None) -> tuple[int, dict]:
        data = None if body is None else urllib.parse.urlencode(body).encode()
        headers = {"X-Plumbfall": "script", "Accept": "application/json"}
        if body is not None:
            headers |= {"X-CSRFToken": self.token, "Referer": server}
        request = urllib.request.Request(server + path, data, headers)
        try:
            with self.opener.open(request, timeout=60) as answer:
                kind, content, status = answer.headers["Content-Type"], answer.read(), answer.status
        except urllib.error.HTTPError as refusal:
            kind, content, status = refusal.headers["Content-Type"], refusal.read(), refusal.code
        return status, json.loads(content) if kind.startswith("application/json") else {}


@pytest.fixture(params=["one server on SQLite", "two servers on PostgreSQL"])
def school(
    request: pytest.FixtureRequest, tmp_path: Path, worker_id: str
) -> Iterator[tuple[list[str], AClass]]:
    """The servers' addresses and a class that is collecting."""
    secret: dict[str, Any] = {"PLUMBFALL_SECRET_KEY": secrets.token_hex(32)}
    with ExitStack() as stack:
        if "SQLite" in request.param:
            served = [stack.enter_context(serving(tmp_path / "one", **secret))]
        else:
            url = stack.enter_context(database_of_its_own(f"http_{worker_id}"))
            served = [
                stack.enter_context(serving(tmp_path / name, DATABASE_URL=url, **secret))
                for name in ("one", "two")
            ]
        yield [one.address for one in served], served[0].a_class(planned_benches=PHONES)


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
