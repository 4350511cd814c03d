"""Records that went back to a backup: nobody who was signed out is signed in again by it."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import select, text

from app.practicals.people.access import WentBack, end_sign_ins_of_older_records
from app.practicals.people.colleagues import set_password, switch_colleague
from app.practicals.people.sessions import sign_out, teacher_for_token
from app.practicals.people.teachers import change_password, sign_in
from app.practicals.people.ways_in import LinkUsed, invite, opened_link
from app.records.choices import Role
from app.records.doctor import findings_about_access
from app.records.engine import Database
from app.records.last_known import LastKnown, write_last_known
from app.records.models import AccessMark, KnownBrowser, Teacher, TeacherSession
from tests.practicals.a_class import NOW, PASSWORD, a_teacher
from tests.practicals.people.links import new_password_by_link
from tests.practicals.seen import count

HERE = "198.51.100.7"
NEW = "another three words"


@pytest.fixture
def known(database: Database, tmp_path: Path) -> Iterator[Path]:
    """The file of the data folder."""
    database.last_known = tmp_path / "data" / "last-known"
    yield database.last_known
    database.last_known = None


def _sign_in(database: Database, login: str = "mrs-okafor", password: str = PASSWORD) -> str:
    return sign_in(database, login=login, password=password, address=HERE, now=NOW).token


def _start(database: Database) -> WentBack | None:
    return end_sign_ins_of_older_records(database, now=NOW, starting=True)


def _backup(database: Database) -> Callable[[], None]:
    """Keep who may get in as it is now; called, it puts that back, as going back to a backup does."""
    with database.reading() as session:
        number = session.scalar(select(AccessMark.number))
        teachers = session.execute(select(Teacher.id, Teacher.is_active, Teacher.password_hash)).all()
        running = session.scalars(select(TeacherSession.id).where(TeacherSession.ended_at.is_(None))).all()

    def go_back() -> None:
        with database.writing() as session:
            session.execute(text("UPDATE access_mark SET number = :n"), {"n": number})
            for teacher_id, active, password_hash in teachers:
                teacher = session.get_one(Teacher, teacher_id)
                teacher.is_active, teacher.password_hash = active, password_hash
            for session_id in running:
                session.get_one(TeacherSession, session_id).ended_at = None

    return go_back


def _is_in(database: Database, token: str) -> bool:
    return teacher_for_token(database, token=token, now=NOW + timedelta(minutes=1)) is not None


def test_a_start_and_an_hour_end_nothing_when_the_records_are_as_they_were(
    database: Database, known: Path
) -> None:
    assert _start(database) is None, "the first start of all"
    a_teacher(database)
    token = _sign_in(database)
    for starting in (True, True, False, False):
        assert end_sign_ins_of_older_records(database, now=NOW, starting=starting) is None
    assert _is_in(database, token)
    assert known.stat().st_mode & 0o077 == 0, "it names sign-ins"


@pytest.mark.parametrize("change", ["signed out", "new password", "own password", "head's", "other browser"])
def test_who_was_signed_out_stays_out_when_the_records_go_back(
    database: Database, known: Path, change: str
) -> None:
    teacher, head = a_teacher(database), a_teacher(database, "head", is_head=True)
    _start(database)
    token, others = _sign_in(database), _sign_in(database, "head")
    go_back = _backup(database)
    if change == "signed out":
        sign_out(database, token=token, now=NOW)
    elif change == "new password":
        set_password(database, login="mrs-okafor", password=NEW, now=NOW)
    elif change == "own password":
        change_password(database, teacher=teacher, old=PASSWORD, new=NEW, now=NOW)
    elif change == "head's":
        new_password_by_link(database, actor=head, teacher_id=teacher.teacher_id, password=NEW)
    else:
        sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW, earlier_token=token)
    assert not _is_in(database, token)
    go_back()
    assert _is_in(database, token), "this is what going back brings with it"
    back = _start(database)
    assert back is not None
    assert back.revived == ()
    assert not _is_in(database, token)
    assert not _is_in(database, others), "nobody can tell which of them were signed out since"
    assert _start(database) is None, "said once"
    assert _is_in(database, _sign_in(database, "head"))


def test_records_from_before_the_last_start_end_every_sign_in(database: Database, known: Path) -> None:
    a_teacher(database)
    token = _sign_in(database)
    head = a_teacher(database, "head", is_head=True)
    link = invite(database, actor=head, name="New", role=Role.HEAD, now=NOW).token
    go_back = _backup(database)
    _start(database)
    go_back()
    assert count(database, KnownBrowser) == 1
    assert opened_link(database, token=link, now=NOW).name == "New"
    assert _start(database) == WentBack(ended=1, revived=())
    assert not _is_in(database, token)
    assert count(database, KnownBrowser) == 0
    with pytest.raises(LinkUsed):  # it may have been used since
        opened_link(database, token=link, now=NOW)


def test_a_server_that_runs_on_notices_it_within_the_hour(database: Database, known: Path) -> None:
    a_teacher(database)
    token = _sign_in(database)
    go_back = _backup(database)
    sign_out(database, token=token, now=NOW)
    go_back()
    assert end_sign_ins_of_older_records(database, now=NOW) == WentBack(ended=1, revived=())
    assert not _is_in(database, token)


def test_a_switched_off_teacher_whom_a_backup_revives_is_named(database: Database, known: Path) -> None:
    teacher, head = a_teacher(database), a_teacher(database, "head", is_head=True)
    _start(database)
    token = _sign_in(database)
    go_back = _backup(database)
    switch = partial(switch_colleague, database, actor=head, teacher_id=teacher.teacher_id, now=NOW)
    switch(active=False)
    go_back()
    address = database.url.render_as_string(hide_password=False)
    age, named = findings_about_access(address, known)
    assert (age.good, named.good) == (False, False)
    assert "ends at the next start" in age.text
    back = _start(database)
    assert back == WentBack(ended=1, revived=("mrs-okafor",))
    assert "able to sign in again: mrs-okafor" in back.sentence
    assert not _is_in(database, token)
    _sign_in(database, "head")
    age, named = findings_about_access(address, known)
    assert age.good
    assert "mrs-okafor" in named.text, "said until somebody sees to it"
    switch(active=False)
    switch(active=True)
    assert [one.good for one in findings_about_access(address, known)] == [True], "on again on purpose"


def test_a_change_before_the_next_start_does_not_hide_that_the_records_went_back(
    database: Database, known: Path
) -> None:
    a_teacher(database)
    token = _sign_in(database)
    go_back = _backup(database)
    for _ in range(3):
        sign_out(database, token=token, now=NOW)
    go_back()
    set_password(database, login="mrs-okafor", password=NEW, now=NOW)
    assert _start(database) is not None


def test_records_from_before_there_was_a_count_are_older_than_any(
    sqlite_database: Database, tmp_path: Path
) -> None:
    file = tmp_path / "data" / "last-known"
    write_last_known(file, LastKnown(1))
    with sqlite_database.writing() as session:
        session.execute(text("DROP TABLE access_mark"))
    (age,) = findings_about_access(str(sqlite_database.url), file)
    assert not age.good


def test_what_was_known_last_is_on_the_disk_before_it_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file, forced = tmp_path / "data" / "last-known", list[tuple[int, int]]()

    def fsync(descriptor: int) -> None:
        found = os.fstat(descriptor)
        forced.append((found.st_ino, found.st_size))
        assert not file.exists()

    monkeypatch.setattr(os, "fsync", fsync)
    write_last_known(file, LastKnown(1, ("ms-x",)))
    assert forced == [(file.stat().st_ino, file.stat().st_size)]


def test_a_file_that_cannot_be_written_is_noted_and_stops_nothing(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "data").write_text("a file where the folder should be")
    write_last_known(tmp_path / "data" / "last-known", LastKnown(1))
    assert "going back to a backup may pass unnoticed" in caplog.text


def test_without_a_file_nothing_is_known_and_nothing_ends(
    database: Database, known: Path, caplog: pytest.LogCaptureFixture
) -> None:
    a_teacher(database)
    token = _sign_in(database)
    for left in (None, "", "{}", "not json", json.dumps({"number": None, "switched_off": [], "revived": []})):
        known.unlink(missing_ok=True) if left is None else known.write_text(left)
        caplog.clear()
        assert findings_about_access(str(database.url), known) == []
        assert ("cannot be read" in caplog.text) is (left is not None), "none was there yet: nothing to say"
        assert _start(database) is None
        assert json.loads(known.read_text())["number"] > 0
    assert _is_in(database, token)
