"""The database of this application, reached from a view."""

from __future__ import annotations

from flask import Flask, current_app

from app.records.engine import Database
from app.settings import Settings


def wire(app: Flask, settings: Settings) -> None:
    """Open the database named in the settings."""
    app.extensions["plumbfall_database"] = Database(settings.database_url, settings.last_known)


def database() -> Database:
    """The current application's database."""
    opened: Database = current_app.extensions["plumbfall_database"]
    return opened


def settings() -> Settings:
    """The current application's settings."""
    read: Settings = current_app.extensions["plumbfall_settings"]
    return read
