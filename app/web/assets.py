"""Static files under an address that changes with their content, so that no phone keeps a stale one."""

from __future__ import annotations

import hashlib
from functools import lru_cache

from flask import Flask, Response, send_from_directory, url_for

from app.resources import static_dir
from app.settings import Settings
from app.web.audience import audience


def wire(app: Flask, settings: Settings) -> None:
    """Offer `asset()` to the templates and serve the files."""
    app.jinja_env.globals["asset"] = asset
    app.add_url_rule("/static/<path:filename>", "static", serve)


def asset(filename: str) -> str:
    """The address of a static file, with the first digits of its digest."""
    return url_for("static", filename=filename, v=_digest(filename))


@lru_cache(maxsize=256)
def _digest(filename: str) -> str:
    return hashlib.sha256((static_dir() / filename).read_bytes()).hexdigest()[:10]


@audience("anyone")
def serve(filename: str) -> Response:
    """One static file; kept a year by the browser, since its address names its content."""
    return send_from_directory(static_dir(), filename, max_age=31_536_000)
