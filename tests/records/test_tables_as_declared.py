"""The migrations make exactly the models' tables, with the models' rules, on both databases."""

from __future__ import annotations

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect

from app.records.base import Base
from app.records.engine import Database
from app.records.migrate import downgrade, upgrade
from app.records.revisions import current_revision_of_tables, is_known, newest_revision
from app.resources import migrations_dir


def test_from_nothing_to_the_newest_and_the_models_agree(bare: Database) -> None:
    upgrade(bare)
    assert current_revision_of_tables(bare) == newest_revision()
    with bare.engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, Base.metadata) == []


def test_every_rule_stands_once_and_says_what_the_models_say(bare: Database) -> None:
    """A bound that is raised in the code alone would be refused by the records that are there already."""
    upgrade(bare)
    migrated = _what_the_rules_say(bare)
    downgrade(bare, "base")
    Base.metadata.create_all(bare.engine)
    assert migrated == _what_the_rules_say(bare)


def _what_the_rules_say(database: Database) -> dict[str, list[tuple[str, str]]]:
    """The check constraints of each table as the database itself writes them, apart from line breaks."""
    look = inspect(database.engine)
    return {
        table.name: sorted(
            (str(rule["name"]), " ".join(rule["sqltext"].split()))
            for rule in look.get_check_constraints(table.name)
        )
        for table in Base.metadata.sorted_tables
    }


def test_alembic_knows_the_same_revisions_as_are_read_from_the_files() -> None:
    config = Config()
    config.set_main_option("script_location", str(migrations_dir()))
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_current_head() == newest_revision()
    assert all(is_known(script.revision) for script in scripts.walk_revisions())
