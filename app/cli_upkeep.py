"""The commands of the person who looks after the installation."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from app.settings import SettingProblem, Settings


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def backup(file: Path) -> None:
    """Copy the SQLite records to FILE while they are in use, checked and complete."""
    # Only the commands that use the records load their driver.
    from app.records.backup import back_up  # noqa: PLC0415
    from app.records.engine import Database  # noqa: PLC0415

    made = back_up(Database(_settings().database_url), file)
    click.echo(f"{made.path} holds everything up to now ({made.size_bytes:,} bytes, checked).")


@click.command("set-password")
@click.argument("login")
@click.password_option(help="Asked for when not given.")
def set_password(login: str, password: str) -> None:
    """Give a teacher a new password and sign them out everywhere."""
    from app.practicals import staff  # noqa: PLC0415 - password hashing is only needed here
    from app.records.migrate import open_database  # noqa: PLC0415

    settings = _settings()
    database = open_database(settings.database_url, settings.last_known)
    name = staff.set_password(database, login=login, password=password, now=datetime.now(UTC))
    click.echo(f"{name} has a new password and is signed out everywhere.")


def _settings() -> Settings:
    try:
        return Settings.from_environment()
    except SettingProblem as problem:
        raise click.ClickException(str(problem)) from problem
