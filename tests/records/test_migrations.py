"""Migrations up and down with rows in the tables, on both databases, and databases that are not ours."""

from __future__ import annotations

import threading
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from sqlalchemy import inspect, text
from sqlalchemy.exc import IntegrityError

from app.practicals.benches.ice_point import ice_points_C
from app.practicals.benches.watch import benches_of
from app.practicals.board.reveal import show_bench_results
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import plan_practical, practical_details
from app.practicals.lesson.states import make_join_code
from app.practicals.runs.sending import enter_run
from app.records.choices import Role
from app.records.engine import Database
from app.records.errors import ConstraintBroken
from app.records.migrate import MadeByAnotherVersion, MigrationBrokeLinks, downgrade, open_database, upgrade
from app.records.revisions import TablesNotAsExpected, current_revision_of_tables, newest_revision
from tests.practicals.a_class import NOW, a_collecting_class, a_plan, a_teacher, an_entry, new_key
from tests.practicals.seen import bench_runs

TABLES = ("practical", "bench_plan")


def test_upgrading_again_changes_nothing_and_keeps_rows(bare: Database) -> None:
    upgrade(bare)
    bench = a_collecting_class(bare).join(2)
    enter_run(bare, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    upgrade(bare)
    assert len(bench_runs(bare, actor=bench)) == 1


def test_down_to_nothing_with_rows_and_up_again(bare: Database) -> None:
    upgrade(bare)
    bench = a_collecting_class(bare).join(2)
    enter_run(bare, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    downgrade(bare, "base")
    assert set(inspect(bare.engine).get_table_names()) <= {"alembic_version", "sqlite_sequence"}
    if not bare.is_sqlite:
        with bare.engine.connect() as connection:
            ours = "SELECT proname FROM pg_proc WHERE pronamespace = 'public'::regnamespace"
            assert connection.execute(text(ours)).all() == [], "the function of the rules goes with them"
    upgrade(bare)
    bench = a_collecting_class(bare).join(2)
    assert bench_runs(bare, actor=bench) == []


def test_codes_and_rules_survive_the_code_before_opening(bare: Database) -> None:
    """Rows of every state go up, down and up again; each rule of the tables is there afterwards."""
    upgrade(bare)
    before = _rules(bare)
    a_class = a_collecting_class(bare, planned_benches=2, bench_plans=(BenchPlanLine(1, runs=4),))
    enter_run(bare, actor=a_class.join(2), key=new_key(), entry=an_entry(), now=NOW)
    planned = plan_practical(bare, actor=a_class.teacher, plan=a_plan(title="next"), now=NOW)
    conduct: dict[str, Any] = {"actor": a_class.teacher, "practical_id": planned.practical_id, "now": NOW}
    assert make_join_code(bare, **conduct).join_code
    downgrade(bare, "0007")
    with bare.engine.connect() as connection:
        rows = connection.execute(text("SELECT state, join_code FROM practical ORDER BY id")).all()
    assert [tuple(row) for row in rows] == [("collecting", a_class.practical.join_code), ("planned", None)]
    upgrade(bare)
    assert _rules(bare) == before
    assert {"ck_practical_code_until_finished", "ck_practical_state_known"} <= before
    with pytest.raises(ConstraintBroken) as broken, bare.writing() as session:
        session.execute(text("UPDATE practical SET state = 'finished'"))
    assert broken.value.constraint == "ck_practical_code_until_finished"
    assert make_join_code(bare, **conduct).state == "planned"
    assert len(class_snapshot(bare, a_class.practical_id, actor=a_class.teacher).runs) == 1
    delete_practical(bare, actor=a_class.teacher, practical_id=planned.practical_id, now=NOW)
    again = plan_practical(bare, actor=a_class.teacher, plan=a_plan(), now=NOW)
    assert again.practical_id > planned.practical_id, "the number of a deleted practical does not come again"


def test_a_practical_from_before_goes_on_hiding_the_class_from_its_phones(bare: Database) -> None:
    upgrade(bare)
    one = a_collecting_class(bare)
    who: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    show_bench_results(bare, shown=False, **who)
    downgrade(bare, "0015")
    assert not practical_shows(bare)
    upgrade(bare)
    assert not practical_shows(bare)


def test_heads_stay_heads_through_the_roles_and_back(bare: Database) -> None:
    upgrade(bare)
    a_teacher(bare, "head", is_head=True)
    a_teacher(bare, "teacher")
    a_teacher(bare, "technician", role=Role.TECHNICIAN)
    downgrade(bare, "0020")
    with bare.engine.connect() as connection:
        rows = connection.execute(text("SELECT login, is_head FROM teacher ORDER BY id")).all()
    assert [(login, bool(head)) for login, head in rows] == [
        ("head", True),
        ("teacher", False),
        ("technician", False),
    ]
    upgrade(bare)
    with bare.engine.connect() as connection:
        roles = connection.scalars(text("SELECT role FROM teacher ORDER BY id")).all()
    assert roles == ["head", "teacher", "teacher"]


def practical_shows(database: Database) -> bool:
    """Whether the only practical lets its phones show the class, as the table has it."""
    with database.engine.connect() as connection:
        return bool(connection.scalar(text("SELECT bench_results_shown FROM practical")))


def _rules(database: Database) -> set[str]:
    """The named rules of the tables that this migration makes again."""
    found = inspect(database.engine)
    rules = {str(rule["name"]) for table in TABLES for rule in found.get_check_constraints(table)}
    rules |= {str(rule["name"]) for table in TABLES for rule in found.get_unique_constraints(table)}
    rules |= {str(rule["name"]) for table in TABLES for rule in found.get_foreign_keys(table)}
    return rules | {str(index["name"]) for table in TABLES for index in found.get_indexes(table)}


def test_a_new_sqlite_file_is_its_owners_only(tmp_path: Path) -> None:
    path = tmp_path / "new" / "private.db"
    open_database(f"sqlite:///{path}").close()
    assert path.stat().st_mode & 0o077 == 0, "it holds password hashes"


def test_servers_that_start_together_take_turns(bare: Database) -> None:
    failures: list[Exception] = []
    address = bare.url.render_as_string(hide_password=False)

    def start() -> None:
        try:
            open_database(address).close()
        except Exception as error:
            failures.append(error)

    starters = [threading.Thread(target=start) for _ in range(4)]
    for starter in starters:
        starter.start()
    for starter in starters:
        starter.join()
    assert failures == []
    assert current_revision_of_tables(bare) == newest_revision()


def test_a_migration_that_would_leave_a_run_without_its_bench_is_undone(tmp_path: Path, monkeypatch) -> None:
    database = open_database(f"sqlite:///{tmp_path / 'linked.db'}")
    bench = a_collecting_class(database).join(2)
    enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)

    def lose_benches(config, _revision) -> None:
        config.attributes["connection"].execute(text("DELETE FROM bench"))

    monkeypatch.setattr(command, "upgrade", lose_benches)
    with pytest.raises(MigrationBrokeLinks):
        upgrade(database)
    assert len(bench_runs(database, actor=bench)) == 1
    database.close()


def test_records_of_a_newer_version_are_left_alone_and_said_to_be(bare: Database) -> None:
    upgrade(bare)
    with bare.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(MadeByAnotherVersion, match="newer version"):
        upgrade(bare)
    assert current_revision_of_tables(bare) == "9999"


def test_a_database_of_something_else_is_left_alone(bare: Database) -> None:
    if bare.path is not None:
        bare.path.parent.mkdir()
    with bare.engine.begin() as connection:
        connection.execute(text("CREATE TABLE practical (something_else INTEGER)"))
    with pytest.raises(TablesNotAsExpected, match="nothing was changed"):
        upgrade(bare)
    assert inspect(bare.engine).get_table_names() == ["practical"]


def test_a_run_table_made_anew_keeps_its_rows_and_all_its_rules(bare: Database) -> None:
    """SQLite rebuilds a table to change a rule of it, and would lose the other rules and the triggers."""
    upgrade(bare)
    bench = a_collecting_class(bare).join(2)
    enter_run(bare, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    downgrade(bare, "0006")
    upgrade(bare)
    assert len(bench_runs(bare, actor=bench)) == 1
    for changed, rule in (
        ({"inversions": "10001"}, "inversions_possible"),
        ({"inversions": "0"}, "inversions_possible"),
        ({"actor_kind": "'nobody'"}, "actor_known"),
        ({"version": "1"}, "version"),
        ({}, None),
    ):
        values = {
            "id": "id + 100",
            "version": "version + 1",
            "inversions": "10000",
            "actor_kind": "actor_kind",
        }
        row = _row(bare, values | changed)
        if rule is None:
            with bare.engine.begin() as connection:
                connection.execute(text(row))
            continue
        with pytest.raises(IntegrityError, match=rule), bare.engine.begin() as connection:
            connection.execute(text(row))
    with pytest.raises(IntegrityError, match="written_once"), bare.engine.begin() as connection:
        connection.execute(text("UPDATE run_version SET version = 9"))


def _row(database: Database, values: dict[str, str]) -> str:
    """The first stored version once more, with these columns changed."""
    names = [column["name"] for column in inspect(database.engine).get_columns("run_version")]
    listed = ", ".join(f'"{name}"' for name in names)
    taken = ", ".join(values.get(name, f'"{name}"') for name in names)
    return f"INSERT INTO run_version ({listed}) SELECT {taken} FROM run_version WHERE version = 1"


def test_runs_from_before_keep_their_allowance_when_its_parts_come(bare: Database) -> None:
    upgrade(bare)
    a_class = a_collecting_class(bare)
    bench = a_class.join(2)
    enter_run(bare, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    downgrade(bare, "0010")
    assert "caps_m" not in {column["name"] for column in inspect(bare.engine).get_columns("run_version")}
    upgrade(bare)
    snapshot = class_snapshot(bare, a_class.practical_id, actor=a_class.teacher)
    assert snapshot.practical.plan.depth_measured is False
    entry = snapshot.runs[0].entry
    assert (entry.end_allowance.raw, entry.of.get("caps"), entry.of.get("settled_depth")) == ("5", None, None)
    for column in ("caps_text", "settled_depth_m", "shot_mass_text"):
        with pytest.raises(ConstraintBroken) as broken, bare.writing() as session:
            session.execute(text(f"UPDATE run_version SET {column} = '1'"))
        assert broken.value.constraint == "ck_run_version_written_once"
    with bare.writing() as session:
        session.execute(text("UPDATE run_version SET reason = '(removed by the teacher)'"))


def test_practicals_from_before_open_unchanged_when_ice_points_come(bare: Database) -> None:
    upgrade(bare)
    lines = (BenchPlanLine(2, thermometer_step_K=Decimal("0.5")),)
    a_class = a_collecting_class(bare, bench_plans=lines)
    bench = a_class.join(2)
    enter_run(bare, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    downgrade(bare, "0012")
    assert "ice_point_C" not in {column["name"] for column in inspect(bare.engine).get_columns("bench")}
    upgrade(bare)
    of_class: dict[str, Any] = {"actor": a_class.teacher, "practical_id": a_class.practical_id}
    plan = practical_details(bare, **of_class).plan
    assert plan == a_class.practical.plan
    assert ice_points_C(plan, benches_of(bare, **of_class)) == {}
    for table in ("bench", "bench_plan"):
        for possible in ("-5", "0.0", "4.99"):
            with bare.writing() as session:
                session.execute(text(f"UPDATE {table} SET \"ice_point_C\" = '{possible}'"))
        for impossible in ("-5.01", "21"):
            with pytest.raises(ConstraintBroken, match="In melting ice") as broken, bare.writing() as session:
                session.execute(text(f"UPDATE {table} SET \"ice_point_C\" = '{impossible}'"))
            assert broken.value.constraint == f"ck_{table}_ice_point_possible"
