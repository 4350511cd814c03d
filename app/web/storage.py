"""The database of this application, reached from a view."""

from __future__ import annotations

from flask import Flask, current_app

from app.records.choices import CHOICES
from app.records.engine import Database
from app.records.scheduled import Scheduled, scheduled_for
from app.settings import Settings


def wire(app: Flask, settings: Settings) -> None:
    """Open the database named in the settings, and give the templates the words that its columns hold."""
    opened = Database(settings.database_url, settings.last_known)
    app.extensions["plumbfall_database"] = opened
    app.extensions["plumbfall_backups"] = scheduled_for(
        opened, settings.backup_folder, settings.backup_hours, settings.backup_keep, settings.local
    )
    app.jinja_env.globals.update({words.__name__: words for words in CHOICES})


def database_of(app: Flask) -> Database:
    """An application's database."""
    opened: Database = app.extensions["plumbfall_database"]
    return opened


def backups_of(app: Flask) -> Scheduled | None:
    """The backups that its server makes by the clock; None where it makes none."""
    made: Scheduled | None = app.extensions["plumbfall_backups"]
    return made


def database() -> Database:
    """The current application's database."""
    return database_of(current_app)


def backups() -> Scheduled | None:
    """The backups of the current application's server."""
    return backups_of(current_app)


def settings() -> Settings:
    """The current application's settings."""
    read: Settings = current_app.extensions["plumbfall_settings"]
    return read
