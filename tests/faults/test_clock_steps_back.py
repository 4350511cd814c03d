"""A server's clock is set back: nobody is kept out or kept in for that, no run is lost, backups go on."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from app.practicals.benches.bench_key import MOST_WRONG_KEYS
from app.practicals.benches.joining import BenchTaken, join_bench
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.deletions import purge_expired
from app.practicals.lesson.states import finish_practical
from app.practicals.people.sessions import NO_BROWSER, begin_session, teacher_for_token
from app.practicals.runs.sending import enter_run
from app.records.backup import BackupProblem
from app.records.engine import Database
from app.records.models import Bench, Practical, Run
from app.records.scheduled import scheduled_for
from tests.faults.phones import Phone
from tests.faults.test_a_flood_of_sign_ins import Browser
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.seen import bench_runs
from tests.serving import Served, serving

LIBRARIES = ("/usr/lib/x86_64-linux-gnu", "/usr/lib/aarch64-linux-gnu", "/usr/lib", "/usr/local/lib")
HOUR, YEAR = timedelta(hours=1), timedelta(days=365)
SetClock = Callable[[str], object]


@pytest.fixture
def clocked(tmp_path: Path) -> Iterator[tuple[Served, SetClock]]:
    """A real server, and a way to set its clock ("-3h": three hours behind)."""
    library = next(
        (
            found
            for folder in LIBRARIES
            if (found := Path(folder) / "faketime" / "libfaketimeMT.so.1").exists()
        ),
        None,
    )
    if library is None:
        reason = (
            "No libfaketime was found, so no server's clock was set back (Debian: apt-get install faketime)."
        )
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    clock = tmp_path / "clock"
    clock.write_text("+0")
    faked: dict[str, Any] = {
        "LD_PRELOAD": str(library),
        "FAKETIME_TIMESTAMP_FILE": str(clock),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",  # no system's steps back
    }
    with serving(tmp_path / "served", **faked) as served:
        yield served, clock.write_text


@pytest.mark.long
def test_phones_and_teacher_go_on_when_the_servers_clock_is_set_back(
    clocked: tuple[Served, SetClock],
) -> None:
    served, set_clock = clocked
    one = served.a_class()
    phone = Phone([served.address], one.practical.join_code or "", 1)
    (bench,) = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    desk = Browser(served.address)
    assert desk.post("/sign-in", login=one.teacher.login, password=PASSWORD)[0] == 302
    first = phone.send(bench.bench_id, secrets.token_hex(16), 0)
    set_clock("-3h")
    second = phone.send(bench.bench_id, secrets.token_hex(16), 0)
    assert (first["run"], second["run"]) == (1, 2)
    with desk.opener.open(f"{served.address}/desk/{one.practical_id}/", timeout=60) as page:
        assert page.status == 200
    with one.database.reading() as session:
        runs = session.scalars(select(Run).order_by(Run.number)).all()
        assert runs[1].created_at < runs[0].created_at - 2 * HOUR, "the clock was back indeed"
        ids = [run.id for run in runs]
    form = {"action": "set-aside", "reason": "leaked", "run_revision": "1"}
    status, _, _ = desk.post(f"/desk/{one.practical_id}/run/{ids[1]}/decide", **form)
    assert status in (302, 303)
    with one.database.reading() as session:
        assert session.get_one(Run, ids[1]).set_aside


def test_a_session_of_a_clock_that_was_ahead_lasts_no_longer_than_another(sqlite_database: Database) -> None:
    teacher = a_teacher(sqlite_database)
    with sqlite_database.writing() as session:
        token, far = (
            begin_session(session, teacher.teacher_id, NOW + ahead, NO_BROWSER) for ahead in (3 * HOUR, YEAR)
        )

    def runs(token: str, at: timedelta, acts: bool = False) -> bool:
        found = teacher_for_token(sqlite_database, token=token, now=NOW + at, idle=4 * HOUR, acts=acts)
        return found is not None

    assert not runs(far, HOUR), "years of it would pass unseen"
    assert runs(token, timedelta(0), acts=True), "who works goes on"
    assert runs(token, 3 * HOUR, acts=True)
    assert not runs(token, 8 * HOUR), "idle since then"
    for hour in (6, 9, 11):
        assert runs(token, hour * HOUR, acts=True)
    assert not runs(token, 12 * HOUR, acts=True), "the hours of a session that began when the clock was right"


def test_wrong_bench_keys_of_a_time_to_come_keep_no_phone_out(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(1)
    with sqlite_database.reading() as session:
        right = session.get_one(Bench, bench.bench_id).bench_key

    def join(key: str, later: timedelta) -> None:
        code = one.practical.join_code or ""
        join_bench(sqlite_database, code=code, bench_number=1, bench_key=key, phone="x", now=NOW + later)

    for _ in range(MOST_WRONG_KEYS):
        with pytest.raises(BenchTaken):
            join("00000", YEAR)
    with pytest.raises(BenchTaken):
        join(right, YEAR)
    join(right, timedelta(0))


def test_a_backup_that_failed_when_the_clock_was_ahead_is_made_all_the_same(
    sqlite_database: Database, tmp_path: Path
) -> None:
    backups = scheduled_for(sqlite_database, tmp_path / "copies", (17,), 3, lambda moment: moment)
    assert backups is not None
    with pytest.raises(BackupProblem):
        backups.look(NOW + YEAR)
    (tmp_path / "copies").mkdir()
    assert backups.look(NOW) is not None


def test_runs_keep_their_order_and_nothing_is_deleted_before_its_day(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(1)
    for later in (HOUR, timedelta(0), -HOUR):
        enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW + later)
    assert [run.number for run in bench_runs(sqlite_database, actor=bench)] == [1, 2, 3]
    finish_practical(sqlite_database, actor=one.teacher, practical_id=one.practical_id, now=NOW - HOUR)
    day = NOW.date()
    with sqlite_database.writing() as session:
        session.get_one(Practical, one.practical_id).delete_after = day
    assert purge_expired(sqlite_database, today=day - timedelta(days=400), now=NOW - 400 * YEAR / 365) == 0
    assert purge_expired(sqlite_database, today=day, now=NOW) == 0
    assert purge_expired(sqlite_database, today=day + timedelta(days=1), now=NOW + 24 * HOUR) == 1
