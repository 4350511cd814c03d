"""How a command comes to the records, and says which ones they are before it does anything with them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from app.settings import Settings

if TYPE_CHECKING:
    from app.records.engine import Database

# The database driver is loaded by the commands that use the records: `analyse` does not.


def opened(settings: Settings, *, make: bool = True) -> Database:
    """The records with their tables up to date, and their place said; made where there are none if `make`."""
    from app.records.migrate import open_database  # noqa: PLC0415

    database = open_database(settings.database_url, settings.last_known, make=make)
    say_where(settings, database)
    return database


def say_where(settings: Settings, database: Database) -> None:
    """One line: the file or the address; a second one where it depends on the current folder."""
    place = database.path.absolute() if database.path else database.url.render_as_string(hide_password=True)
    click.echo(f"Records: {place}")
    if settings.folder_note:
        click.echo(settings.folder_note)
