"""Backups by the clock: when, how many stay, and what is said where one cannot be made."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from app.records.backup import BackupProblem
from app.records.engine import Database
from app.records.scheduled import Schedule, Scheduled, finding_about_backups, scheduled_for
from app.records.whole_file import check_file

SCHOOL = ZoneInfo("Pacific/Auckland")  # UTC+13 in March until the daylight time ends (IANA)


def local(moment: datetime) -> datetime:
    return moment.astimezone(SCHOOL)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=SCHOOL).astimezone(UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "copies"
    made.mkdir()
    return made


@pytest.fixture
def backups(sqlite_database: Database, folder: Path) -> Scheduled:
    made = scheduled_for(sqlite_database, folder, (7, 17), 3, local)
    assert made is not None
    return made


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_one_is_made_for_each_hour_that_has_passed_and_the_oldest_go(
    backups: Scheduled, folder: Path
) -> None:
    ours = "plumbfall-by-hand.db"
    for kept in (ours, "plumbfall-20310101T000000.db", "notes.txt"):
        (folder / kept).touch()
    first = backups.look(at("2031-03-06 09:00"))
    assert first is not None, "there is none yet"
    assert check_file(first) == "ok"
    for hour, made in (("09:01", False), ("16:59", False), ("17:00", True), ("23:59", False)):
        assert (backups.look(at(f"2031-03-06 {hour}")) is not None) is made, hour
    assert backups.look(at("2031-03-11 06:00")) is not None, "missed while the machine was off: one, not nine"
    assert backups.look(at("2031-03-11 06:30")) is None
    assert backups.look(at("2031-03-11 07:00")) is not None
    assert names(folder) == [
        "notes.txt",
        "plumbfall-20310101T000000.db",
        "plumbfall-20310306T040000Z.db",  # 17:00 at UTC+13
        "plumbfall-20310310T170000Z.db",
        "plumbfall-20310310T180000Z.db",
        ours,
    ], "three of its own stay, and what is not its own"


def test_a_clock_that_was_ahead_neither_ends_the_backups_nor_costs_one(
    sqlite_database: Database, folder: Path
) -> None:
    backups = scheduled_for(sqlite_database, folder, (7, 17), 1, local)
    assert backups is not None
    ahead = backups.look(at("2036-03-06 17:00"))
    first = backups.look(at("2031-03-06 07:00"))
    second = backups.look(at("2031-03-06 17:00"))
    assert ahead is not None
    assert first is not None
    assert second is not None
    assert names(folder) == sorted([ahead.name, second.name])


def test_a_new_server_reads_from_the_folder_what_is_due(
    backups: Scheduled, folder: Path, sqlite_database: Database
) -> None:
    assert backups.look(at("2031-03-06 17:00"))
    again = scheduled_for(sqlite_database, folder, (7, 17), 3, local)
    assert again is not None
    assert again.look(at("2031-03-07 06:59")) is None
    assert again.look(at("2031-03-07 07:00")) is not None


def test_a_missing_disk_is_said_and_tried_again_until_it_is_there(backups: Scheduled, folder: Path) -> None:
    folder.rmdir()
    now = at("2031-03-06 17:00")
    with pytest.raises(BackupProblem, match="is not there, so none is made"):
        backups.look(now)
    assert str(folder) in str(backups.problem)
    folder.mkdir()
    assert backups.look(now + timedelta(minutes=14)) is None
    assert backups.problem is not None
    assert backups.look(now + timedelta(minutes=15)) is not None
    assert backups.problem is None


def test_older_ones_stay_while_no_new_one_can_be_made(
    backups: Scheduled, folder: Path, sqlite_database: Database
) -> None:
    for day in (1, 2, 3, 4):
        (folder / f"plumbfall-2031030{day}T000000Z.db").touch()
    sqlite_database.close()
    assert sqlite_database.path is not None
    sqlite_database.path.write_bytes(b"SQLite format 3\x00 but no more than that")
    with pytest.raises(BackupProblem):
        backups.look(at("2031-03-06 17:00"))
    assert len(names(folder)) == 4


def test_the_doctor_says_what_is_set_and_what_is_wrong_with_it(
    folder: Path, sqlite_database: Database
) -> None:
    def said(now: str) -> tuple[bool, str]:
        found = finding_about_backups(sqlite_database, folder, (7, 17), 3, local, now=at(now))
        return found.good, found.text

    told = f"every day at 07:00, 17:00 into {folder}, the latest 3 kept"
    assert said("2031-03-06 09:00") == (True, f"{told}; none is there yet")
    made = folder / "plumbfall-20310306T040000Z.db"
    made.touch()
    assert said("2031-03-13 16:59") == (True, f"{told}; the latest is of 2031-03-06 17:00")
    assert said("2031-03-13 17:01")[0] is False
    made.unlink()
    folder.rmdir()
    good, text = said("2031-03-06 09:00")
    assert (good, "is not there" in text) == (False, True)


def test_on_postgresql_the_server_makes_none_and_says_so(postgresql_database: Database, folder: Path) -> None:
    assert scheduled_for(postgresql_database, folder, (7,), 3, local) is None
    found = finding_about_backups(postgresql_database, folder, (7,), 3, local, now=at("2031-03-06 09:00"))
    assert (found.good, "pg_dump" in found.text) == (False, True)


def test_the_hour_before_the_first_one_of_a_day_belongs_to_yesterdays_last() -> None:
    schedule = Schedule(Path("x"), (7, 17), 3, local)
    assert schedule.last_due(at("2031-03-06 06:00")) == at("2031-03-05 17:00")
    assert schedule.last_due(at("2031-03-06 07:00")) == at("2031-03-06 07:00")
