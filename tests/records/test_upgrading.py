"""Records of an earlier version are opened after a copy of them was made, or not at all."""

from __future__ import annotations

import shutil
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import inspect

from app.practicals.runs.sending import enter_run
from app.records import migrate, revisions
from app.records.engine import Database
from app.records.migrate import NotCopied, ToBeUpgraded, downgrade, open_database, upgrade
from app.records.restoring import look_at
from app.records.revisions import current_revision_of_tables, newest_revision
from app.records.running import ServerIsRunning, serving_from
from app.resources import migrations_dir
from tests.commands import by_shell
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key
from tests.practicals.seen import bench_runs

EARLIER = "0010"


@pytest.fixture
def earlier(bare: Database) -> AClass:
    """A class with one run, in tables of an earlier version."""
    upgrade(bare)
    one = a_collecting_class(bare)
    enter_run(bare, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    downgrade(bare, EARLIER)
    return one


def address(database: Database) -> str:
    return database.url.render_as_string(hide_password=False)


def test_sqlite_is_copied_first_and_postgresql_waits_for_its_backup(earlier: AClass, tmp_path: Path) -> None:
    told: list[str] = []
    where = address(earlier.database)
    if earlier.database.path is None:
        with pytest.raises(ToBeUpgraded, match=r"at 0010.*pg_dump, then run: plumbfall upgrade --backed-up"):
            open_database(where)
        assert current_revision_of_tables(earlier.database) == EARLIER
        done = by_shell(tmp_path, "upgrade", "--backed-up", DATABASE_URL=where)
        assert (done.returncode, done.stdout.splitlines()[-1]) == (0, "The tables are up to date.")
    else:
        open_database(where, told=told.append).close()
        (copy,) = earlier.database.path.parent.glob("*-before-upgrade-from-0010-*.db")
        assert look_at(copy) == EARLIER, "whole, and as it was"
        assert told == [f"These records were of an earlier version (0010); as such they are kept in {copy}."]
        open_database(where, told=told.append).close()
        assert len(told) == 1
    assert current_revision_of_tables(earlier.database) == newest_revision()
    assert bench_runs(earlier.database, actor=earlier.join(2)) == []


def test_without_a_copy_or_beside_a_server_the_tables_stay_as_they_were(
    sqlite_database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    downgrade(sqlite_database, EARLIER)
    with serving_from(sqlite_database), pytest.raises(ServerIsRunning):
        open_database(address(sqlite_database))

    def full(_file: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("app.records.backup.force_to_disk", full)
    with pytest.raises(NotCopied, match=r"at 0010.*nothing was changed.*No space left"):
        open_database(address(sqlite_database))
    assert current_revision_of_tables(sqlite_database) == EARLIER
    assert not list(tmp_path.glob("*before-upgrade*"))


def test_where_nothing_can_be_locked_the_tables_are_brought_up_to_date_all_the_same(
    sqlite_database: Database, tmp_path: Path, without_locks: None, caplog: pytest.LogCaptureFixture
) -> None:
    downgrade(sqlite_database, f"{int(newest_revision() or 0) - 1:04}")
    open_database(address(sqlite_database)).close()
    assert "cannot be locked (No locks available)" in caplog.text
    assert current_revision_of_tables(sqlite_database) == newest_revision()
    assert len(list(tmp_path.glob("*before-upgrade*"))) == 1


NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "9999"
down_revision = "{newest}"


def upgrade() -> None:
    op.add_column("run", sa.Column("of_the_next_version", sa.Integer(), nullable=True))


def downgrade() -> None:
    op.drop_column("run", "of_the_next_version")
"""


def test_two_servers_on_postgresql_are_brought_up_to_date_one_by_one(
    postgresql_database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With one migration between them: the first goes on over the newer tables while the next one starts."""
    one = a_collecting_class(postgresql_database)
    bench = one.join(1)
    with serving_from(postgresql_database):
        shutil.copytree(migrations_dir(), tmp_path / "next")
        now_newest = newest_revision()
        (tmp_path / "next" / "versions" / "9999_next.py").write_text(NEXT.format(newest=now_newest))
        with monkeypatch.context() as next_version:
            for module in (migrate, revisions):
                next_version.setattr(module, "migrations_dir", lambda: tmp_path / "next")
            with pytest.raises(ToBeUpgraded):
                open_database(address(postgresql_database))
            enter_run(postgresql_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
            with closing(open_database(address(postgresql_database), backed_up=True)) as newer:
                columns = {column["name"] for column in inspect(newer.engine).get_columns("run")}
                assert "of_the_next_version" in columns
                with serving_from(newer):
                    for database in (postgresql_database, newer, postgresql_database):
                        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
            downgrade(postgresql_database, now_newest)
    assert len(bench_runs(postgresql_database, actor=bench)) == 4
