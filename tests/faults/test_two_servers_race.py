"""Two servers on one PostgreSQL and one bench: each run is there once, and its history is whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.practicals.board.snapshot import class_snapshot
from app.records.migrate import open_database
from app.records.models import Bench, Decision, Run, RunVersion
from tests.conftest import database_of_its_own
from tests.faults.forked import Nursery
from tests.faults.phones import READINGS, Phone
from tests.faults.test_a_flood_of_sign_ins import Browser
from tests.faults.test_many_phones import at_once
from tests.practicals.a_class import PASSWORD, AClass, new_key
from tests.profiles import tries
from tests.serving import a_class_in


@dataclass
class Race:
    """A bench with two phones, each at a server of its own, and its teacher at the second one."""

    one: AClass
    bench_id: int
    phones: tuple[Phone, Phone]
    desk: Browser

    def runs(self) -> list[Run]:
        """As the records have them."""
        with self.one.database.reading() as session:
            return list(
                session.scalars(select(Run).where(Run.bench_id == self.bench_id).order_by(Run.number))
            )

    def correct(self, phone: int, run: Run, end: str) -> int:
        """The status of a correction of what the phone saw."""
        form = {**READINGS, "end_temperature": end, "key": new_key(), "revision": str(run.revision)}
        server = self.phones[phone].servers[phone]
        return self.phones[phone].ask(server, f"/bench/runs/{run.id}", form)[0]

    def set_aside(self, run: Run) -> int:
        """The status of the teacher's decision about what the desk showed."""
        form = {"action": "set-aside", "reason": "leaked", "run_revision": str(run.revision)}
        return self.desk.post(f"/desk/{self.one.practical_id}/run/{run.id}/decide", **form)[0]

    def history_is_whole(self, run_id: int) -> Run:
        """Each change of a run raised its revision by one, and is kept."""
        with self.one.database.reading() as session:
            run = session.get_one(Run, run_id)
            versions = session.scalars(
                select(RunVersion.version).where(RunVersion.run_id == run_id).order_by(RunVersion.version)
            ).all()
            decided = session.scalar(select(func.count()).where(Decision.run_id == run_id))
        assert versions == list(range(1, run.latest_version + 1))
        assert run.revision == len(versions) + (decided or 0)
        return run


@pytest.fixture
def race(nursery: Nursery, tmp_path: Path, worker_id: str) -> Iterator[Race]:
    with database_of_its_own(f"race_{worker_id}") as url:
        database = open_database(url)
        secret = {"PLUMBFALL_SECRET_KEY": new_key() * 2}
        with (
            nursery.serving(tmp_path / "one", url, **secret) as first,
            nursery.serving(tmp_path / "two", url, **secret) as second,
        ):
            one = a_class_in(database)
            servers, code = [first.address, second.address], one.practical.join_code or ""
            phone = Phone(servers, code, 1)
            (bench,) = class_snapshot(database, one.practical_id, actor=one.teacher).benches
            with database.reading() as session:
                key = session.get_one(Bench, bench.bench_id).bench_key
            desk = Browser(second.address)
            assert desk.post("/sign-in", login=one.teacher.login, password=PASSWORD)[0] == 302
            yield Race(one, bench.bench_id, (phone, Phone(servers, code, 1, key)), desk)
        database.close()


@pytest.mark.long
def test_one_bench_at_two_servers_sends_corrects_and_is_decided_about_exactly_once(
    race: Race, told: Callable[[str], None]
) -> None:
    left, right = race.phones
    rounds, bench = tries(2, 60), race.bench_id
    for place in range(rounds):
        same = new_key()
        sent = at_once(lambda key=same: left.send(bench, key, 0), lambda key=same: right.send(bench, key, 1))  # type: ignore[misc]
        number = 3 * place + 1
        assert [answer["run"] for answer in sent] == [number, number], "the same run, the same answer"  # type: ignore[index]
        sent = at_once(lambda: left.send(bench, new_key(), 0), lambda: right.send(bench, new_key(), 1))
        assert {answer["run"] for answer in sent} == {number + 1, number + 2}  # type: ignore[index]
        corrected, decided, _ = race.runs()[-3:]
        statuses = at_once(
            lambda run=corrected: race.correct(0, run, "22.5"),  # type: ignore[misc]
            lambda run=corrected: race.correct(1, run, "22.6"),  # type: ignore[misc]
        )
        assert sorted(map(str, statuses)) == ["200", "409"], "one is told that the other was first"
        assert race.history_is_whole(corrected.id).latest_version == 2
        statuses = at_once(
            lambda run=decided: race.correct(0, run, "22.5"),  # type: ignore[misc]
            lambda run=decided: race.set_aside(run),  # type: ignore[misc]
        )
        run = race.history_is_whole(decided.id)
        assert run.revision == 2, "one of the two"
        assert run.set_aside == (run.latest_version == 1)
        assert statuses in ([200, 409], [409, 303]) or statuses in ([200, 409], [409, 302])
    runs = race.runs()
    assert [run.number for run in runs] == list(range(1, 3 * rounds + 1))
    told(f"two servers and one bench, PostgreSQL: {rounds} rounds of four races, {len(runs)} runs, each once")
