"""The commands about the records as a whole: a backup, going back to one, another database, newer tables."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.cli_records import opened, say_where
from app.settings import Settings

if TYPE_CHECKING:
    from app.practicals.upkeep.backups import BackupContent
    from app.records.moving import MovedTable


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def backup(file: Path) -> None:
    """Copy the SQLite records to FILE while they are in use, checked and complete."""
    from app.practicals.upkeep.backups import back_up_by_command  # noqa: PLC0415
    from app.records.engine import Database  # noqa: PLC0415

    settings = Settings.from_environment()
    database = Database(settings.database_url)
    made = back_up_by_command(database, file, now=datetime.now(UTC))
    say_where(settings, database)
    click.echo(f"{made.path} holds everything up to now ({made.size_bytes:,} bytes, checked).")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--only-look", is_flag=True, help="Check the backup and say what it holds; change nothing.")
def restore(file: Path, only_look: bool) -> None:
    """Put the backup FILE in the place of the SQLite records, which stay beside it as a dated copy.

    The server must be stopped. The backup is checked before anything is changed, and brought up to date if an
    older version made it. Everybody is signed out.
    """
    from app.practicals.upkeep import backups  # noqa: PLC0415
    from app.records.engine import Database  # noqa: PLC0415

    settings = Settings.from_environment()
    database = Database(settings.database_url, settings.last_known)
    if only_look:
        _say_what_it_holds(file, backups.look_into(database, file))
        return
    done = backups.restore(database, file, now=datetime.now(UTC))
    say_where(settings, database)
    _say_what_it_holds(file, done.held)
    if done.kept is not None:
        click.echo(f"The records that were there until now are in {done.kept}.")
    click.echo(done.back.sentence if done.back is not None else "Everybody is signed out.")


@click.command()
@click.option("--backed-up", is_flag=True, help="PostgreSQL: say that you made a backup with pg_dump.")
def upgrade(backed_up: bool) -> None:
    """Bring the tables up to date without starting a server, after a copy of SQLite records was made.

    Records in PostgreSQL are only brought up to date when you say that they are backed up.
    """
    opened(Settings.from_environment(), make=False, backed_up=backed_up)
    click.echo("The tables are up to date.")


@click.command()
@click.option(
    "--to",
    "address",
    required=True,
    help="The empty database, as in postgresql://user@host/name or sqlite:///file.db.",
)
def move(address: str) -> None:
    """Copy everything into another, empty database, and check that it is the same there.

    The server must be stopped. The records stay where they are, untouched.
    """
    from app.records.engine import Database  # noqa: PLC0415
    from app.records.moving import move as move_records  # noqa: PLC0415

    def told(table: MovedTable) -> None:
        click.echo(f"  {table.name:<18} {table.summed.rows:>9}")

    settings = Settings.from_environment()
    source, target = Database(settings.database_url), Database(address)
    say_where(settings, source)
    try:
        moved = move_records(source, target, told)
    except KeyboardInterrupt:
        click.echo("Stopped: the target is as empty as it was, and these records are as they were.", err=True)
        raise
    rows = sum(table.summed.rows for table in moved)
    click.echo(f"Copied and found the same on both sides: tables: {len(moved)}; rows: {rows}.")
    click.echo(f"Set DATABASE_URL to {target.url.render_as_string(hide_password=True)} to use them there.")


def _say_what_it_holds(file: Path, held: BackupContent) -> None:
    latest = f", the latest of {held.latest:%Y-%m-%d}" if held.latest else ""
    click.echo(f"{file} is whole: practicals: {held.practicals}{latest}; runs: {held.runs}.")
    if held.is_older:
        click.echo(f"Its tables were of an earlier version ({held.revision}) and are brought up to date.")
