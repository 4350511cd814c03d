"""Everything arrives in the other database, or nothing does; the source is never touched."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import Integer, func, insert, inspect, select, text
from sqlalchemy.engine import Connection

from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.sending import enter_run
from app.records import moving
from app.records.base import Base
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.migrate import upgrade
from app.records.models import Department
from app.records.moving import MovedTable, MoveFailed, NotTheSame, OtherVersion, TargetNotEmpty, move
from app.records.revisions import current_revision_of_tables, newest_revision
from app.records.running import ServerIsRunning, serving_from
from app.records.table_rows import Summed, Summing, batches, highest_ids, summed
from tests.conftest import database_of_its_own
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key
from tests.records.filled import filled

TABLES = Base.metadata.sorted_tables


@pytest.fixture(scope="module")
def _empty_postgresql(worker_id: str) -> Iterator[str]:
    with database_of_its_own(f"moved_{worker_id}") as address:
        yield address


@pytest.fixture
def empty(_empty_postgresql: str) -> Iterator[Database]:
    """A PostgreSQL database without a table."""
    target = Database(_empty_postgresql)
    yield target
    with target.engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    target.close()


@pytest.fixture
def full(sqlite_database: Database) -> AClass:
    """Records with a row in every table, and ids that were given out and are gone."""
    one = filled(sqlite_database)
    with sqlite_database.engine.begin() as connection:
        for table in TABLES:
            assert connection.scalar(select(func.count()).select_from(table)), f"{table.name}: see filled.py"
        connection.execute(text("UPDATE practical SET own_questions = NULL WHERE id = 1"))
        connection.execute(insert(Department).values(id=77, name="gone", created_at=NOW))
        connection.execute(text("DELETE FROM department WHERE id = 77"))
    return one


def told(_table: MovedTable) -> None:
    """Nobody listens."""


def sums(database: Database) -> dict[str, Summed]:
    with moving._reading(database) as connection:
        return {table.name: summed(connection, table) for table in TABLES}


def hash_of(database: Database) -> str:
    database.close()
    assert database.path is not None
    return hashlib.sha256(database.path.read_bytes()).hexdigest()


def everything(database: Database) -> list[list[tuple[object, ...]]]:
    """The rows of every table as the models read them."""
    with database.reading() as session:
        return [
            [tuple(row) for row in session.execute(select(table).order_by(*table.primary_key.columns))]
            for table in TABLES
        ]


def test_to_postgresql_and_back_nothing_is_lost_and_the_next_id_is_a_new_one(
    full: AClass, empty: Database, tmp_path: Path
) -> None:
    source, before = full.database, hash_of(full.database)
    moved = move(source, empty, told)
    assert [table.name for table in moved] == [table.name for table in TABLES]
    assert all(table.summed.rows for table in moved)
    assert sums(empty) == sums(source) == {table.name: table.summed for table in moved}
    assert everything(empty) == everything(source)
    assert current_revision_of_tables(empty) == newest_revision()
    assert hash_of(source) == before
    with source.engine.connect() as one, empty.engine.connect() as other:
        assert highest_ids(other, TABLES) == highest_ids(one, TABLES)
        assert highest_ids(other, TABLES)["department"] == 77
        assert other.scalar(text("SELECT count(*) FROM practical WHERE own_questions IS NULL")) == 1
    upgrade(empty)
    arrived = replace(full, database=empty)
    enter_run(empty, actor=arrived.join(7), key=new_key(), entry=an_entry(), now=NOW)
    with empty.writing() as session:
        session.add(Department(name="new", created_at=NOW))
        session.flush()
        assert session.scalar(select(func.max(Department.id))) == 78

    back = Database(f"sqlite:///{tmp_path / 'back' / 'again.db'}")
    move(empty, back, told)
    assert everything(back) == everything(empty)
    assert back.path is not None
    assert (back.path.stat().st_mode & 0o077, [file.name for file in back.path.parent.iterdir()]) == (
        0,
        ["again.db"],
    )
    runs = class_snapshot(back, full.practical_id, actor=full.teacher).runs
    assert len(runs) == 5
    with back.writing() as session:
        session.add(Department(name="newer", created_at=NOW))
        session.flush()
        assert session.scalar(select(func.max(Department.id))) == 79
    back.close()


def test_every_column_of_every_table_is_in_its_digest(full: AClass) -> None:
    """Each column changed by itself, in a row as it is read, changes the sum; so does a row less."""
    with moving._reading(full.database) as connection:
        for table in TABLES:
            rows = [tuple(row) for some in batches(connection, table) for row in some]
            assert summed_of(rows) == summed(connection, table)
            assert summed_of(rows[1:]) != summed_of(rows)
            for place, column in enumerate(table.columns):
                first = list(rows[0])
                first[place] = None if first[place] is not None else 1
                assert summed_of([tuple(first), *rows[1:]]) != summed_of(rows), (table.name, column.name)
    assert [summed_of([("a",)] * number).rows for number in (0, 1, 3)] == [0, 1, 3]
    assert summed_of([("a", "b")]) != summed_of([("a", None), ("b",)])
    assert len({summed_of([(value,)]).digest for value in (1, "1", b"1", b"2", b"")}) == 5


def summed_of(rows: list[tuple[object, ...]]) -> Summed:
    summing = Summing()
    summing.add(rows)
    return summing.summed()


def test_keys_of_text_would_come_in_one_order_from_both() -> None:
    """There are none yet; where one comes, `table_rows._ordered` has to be seen at work."""
    assert all(isinstance(key.type, Integer) for table in TABLES for key in table.primary_key.columns)


def test_a_target_that_is_not_empty_is_refused_and_stays(
    full: AClass, empty: Database, tmp_path: Path
) -> None:
    file = tmp_path / "theirs.db"
    file.write_text("")
    with pytest.raises(TargetNotEmpty, match="the file is there"):
        move(full.database, Database(f"sqlite:///{file}"), told)
    with pytest.raises(TargetNotEmpty, match="the file is there"):
        move(full.database, full.database, told)
    with empty.engine.begin() as connection:
        connection.execute(text("CREATE TABLE theirs (id integer)"))
    with pytest.raises(TargetNotEmpty, match=r"postgresql.*:\*\*\*@.*tables: 1.*nothing was changed"):
        move(full.database, empty, told)  # without its password
    assert inspect(empty.engine).get_table_names() == ["theirs"]


def test_beside_a_running_server_nothing_is_moved(full: AClass, empty: Database, tmp_path: Path) -> None:
    with serving_from(full.database), pytest.raises(ServerIsRunning):
        move(full.database, empty, told)
    file = Database(f"sqlite:///{tmp_path / 'new.db'}")
    with serving_from(empty):
        for source, target in ((full.database, empty), (empty, file)):
            with pytest.raises(ServerIsRunning):
                move(source, target, told)


def test_what_stops_a_move_into_a_file_leaves_none(full: AClass, tmp_path: Path) -> None:
    """A move that is killed, on both databases, is in tests/faults."""
    before, target = hash_of(full.database), Database(f"sqlite:///{tmp_path / 'new' / 'new.db'}")

    def interrupt(table: MovedTable) -> None:
        if table.name == "run":
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        move(full.database, target, interrupt)
    assert list((tmp_path / "new").iterdir()) == []
    assert hash_of(full.database) == before


def test_what_arrives_otherwise_is_found_and_undone(
    full: AClass, empty: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied = moving._copy_table

    def one_reading_wrong(read: Connection, write: Connection, table) -> Summed:
        sent = copied(read, write, table)
        if table.name == "bench":
            write.execute(text("UPDATE bench SET number = number + 1 WHERE number = 5"))
        return sent

    monkeypatch.setattr(moving, "_copy_table", one_reading_wrong)
    with pytest.raises(NotTheSame, match="in the table bench is not what was sent, so the move was undone"):
        move(full.database, empty, told)
    assert inspect(empty.engine).get_table_names() == []


def test_a_row_that_points_at_nothing_stops_a_move_into_a_file(
    sqlite_database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(moving, "make_tables", Base.metadata.create_all)  # without the migrations: sooner
    a_collecting_class(sqlite_database)
    with closing(sqlite3.connect(str(sqlite_database.path))) as there, there:  # which looks at no such thing
        there.execute("UPDATE practical SET teacher_id = 999")
    with pytest.raises(NotTheSame, match="in the table practical is not what was sent"):
        move(sqlite_database, Database(f"sqlite:///{tmp_path / 'new.db'}"), told)
    assert not (tmp_path / "new.db").exists()


def test_a_file_that_records_move_into_is_on_the_disk_and_gives_new_ids(
    full: AClass, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    forced: list[int] = []
    monkeypatch.setattr(os, "fsync", lambda descriptor: forced.append(os.fstat(descriptor).st_ino))
    monkeypatch.setattr(moving, "make_tables", Base.metadata.create_all)  # without the migrations: sooner
    target = Database(f"sqlite:///{tmp_path / 'new' / 'new.db'}")
    move(full.database, target, told)
    assert [file.name for file in (tmp_path / "new").iterdir()] == ["new.db"]
    assert forced[-2:] == [(tmp_path / "new" / name).stat().st_ino for name in ("new.db", "")]
    with full.database.engine.connect() as one, target.engine.connect() as other:
        given_out = highest_ids(one, TABLES)
        assert highest_ids(other, TABLES) == given_out
    numbered = {table.name for table in TABLES if "id" in table.columns} - {"access_mark"}  # its one row is 1
    assert (set(given_out), given_out["department"]) == (numbered, 77)
    target.close()


def test_what_the_target_cannot_keep_is_said_and_undone(full: AClass, empty: Database) -> None:
    with full.database.engine.begin() as connection:  # as no use case would store it
        connection.execute(text("UPDATE teacher SET name = :name"), {"name": "n" * 200})
    with pytest.raises(MoveFailed, match=r"too long.*The target is as empty as it was") as failed:
        move(full.database, empty, told)
    assert "nnn" not in str(failed.value)
    assert inspect(empty.engine).get_table_names() == []


def test_tables_of_another_version_or_of_others_are_not_moved(full: AClass, empty: Database) -> None:
    with full.database.engine.begin() as connection:
        connection.execute(text("CREATE TABLE theirs (id integer)"))
    with pytest.raises(moving.OthersTables, match=r"not Plumbfall's \(theirs\)"):
        move(full.database, empty, told)
    with full.database.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0010'"))
    with pytest.raises(OtherVersion, match="plumbfall upgrade"):
        move(full.database, empty, told)


def test_without_records_or_without_a_server_there_is_one_sentence(full: AClass, tmp_path: Path) -> None:
    nothing = Database(f"sqlite:///{tmp_path / 'nothing.db'}")
    with pytest.raises(moving.NothingToMove):
        move(nothing, Database(f"sqlite:///{tmp_path / 'new.db'}"), told)
    with pytest.raises(StorageProblem, match="cannot be reached"):
        move(full.database, Database("postgresql://nobody@127.0.0.1:1/x"), told)
    assert not (tmp_path / "nothing.db").exists()
