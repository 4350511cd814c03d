"""The table of contents of the web application: each part wires itself in."""

from __future__ import annotations

import click
from flask import Flask
from jinja2 import StrictUndefined

from app.resources import templates_dir
from app.settings import Settings
from app.web import (
    assets,
    audience,
    board,
    department,
    desk,
    errors,
    form_cookie,
    guide,
    health,
    incidents,
    kit_words,
    languages,
    look,
    numbers,
    privacy,
    right_to_left,
    security,
    storage,
    uploads,
)
from app.web import phone as bench
from app.web.department.people import sign_in
from app.web.guide.commands import COMMANDS


def join(settings: Settings | None, commands: click.Group) -> Flask:
    """Make one application from the settings (from the environment where none are given).

    The commands stand above the pages, which do not import them; the guide describes those that it is given.
    """
    settings = settings or Settings.from_environment()
    app = Flask("app", template_folder=str(templates_dir()), static_folder=None)
    app.secret_key = settings.secret_key
    app.jinja_env.undefined = StrictUndefined  # a name that a view forgot is a fault, not an empty place
    app.extensions["plumbfall_settings"] = settings
    app.extensions[COMMANDS] = commands
    for part in (
        storage,
        assets,
        uploads,
        security,
        form_cookie,
        languages,
        numbers,
        kit_words,
        right_to_left,
        audience,
        errors,
        incidents,
        look,
    ):
        part.wire(app, settings)
    for pages in (health, sign_in, languages, bench, desk, board, department, guide, privacy):
        app.register_blueprint(pages.blueprint)
    return app
