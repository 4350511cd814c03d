"""The commands of the person who looks after the installation."""

from __future__ import annotations

from pathlib import Path

import click

from app.cli_records import say_where
from app.settings import KEY_FILE, Settings

# Only the commands that use the records load their driver.


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def backup(file: Path) -> None:
    """Copy the SQLite records to FILE while they are in use, checked and complete."""
    from app.records.backup import back_up  # noqa: PLC0415
    from app.records.engine import Database  # noqa: PLC0415

    settings = Settings.from_environment()
    database = Database(settings.database_url)
    made = back_up(database, file)
    say_where(settings, database)
    click.echo(f"{made.path} holds everything up to now ({made.size_bytes:,} bytes, checked).")


@click.command()
@click.option(
    "--backups",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Also look whether others on this machine can read the copies in this folder.",
)
def doctor(backups: Path | None) -> None:
    """Say what this installation stands on, and what is wrong with it."""
    from app.records.doctor import examine, findings_about_access  # noqa: PLC0415

    settings = Settings.from_environment()
    findings = examine(
        settings.database_url, settings.data_folder, key_file=settings.data_folder / KEY_FILE, backups=backups
    )
    findings += findings_about_access(settings.database_url, settings.last_known)
    for finding in findings:
        click.echo(f"{'ok ' if finding.good else 'BAD'}  {finding.subject:<22} {finding.text}")
    click.echo(f"ok   {'address for phones':<22} {settings.address_for_phones()}")
    if settings.folder_note:
        click.echo(settings.folder_note)
    if not all(finding.good for finding in findings):
        raise click.ClickException("something above needs attention.")
