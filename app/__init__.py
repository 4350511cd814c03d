"""Plumbfall: the falling-shot practical for a whole class."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

    from app.settings import Settings


def create_app(settings: Settings | None = None) -> Flask:
    """Join the parts into one application. No app, engine or session exists before this is called."""
    # Imported here so that `import app.physics` does not load a web framework.
    from app.cli import commands  # noqa: PLC0415
    from app.web.app import join  # noqa: PLC0415

    return join(settings, commands)
