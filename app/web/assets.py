"""Static files under an address that changes with their content, so that no phone keeps a stale one."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from io import BytesIO

from flask import Flask, Response, send_file, send_from_directory, url_for

from app.resources import static_dir
from app.settings import Settings
from app.web.audience import audience

A_YEAR_SECONDS = 31_536_000
# Scripts that a page loads as one, so that a phone's first visit brings all that its later steps need.
JOINED = {
    "js/bench.js": (
        "js/asking.js",
        *(
            f"js/bench-{part}.js"
            for part in ("store", "queue", "leave", "sign", "tap", "draft", "asked", "run", "count")
        ),
    ),
}


def wire(app: Flask, settings: Settings) -> None:
    """Offer `asset()` to the templates and serve the files."""
    app.jinja_env.globals["asset"] = asset
    app.add_url_rule("/static/<path:filename>", "static", serve)


def asset(filename: str) -> str:
    """The address of a static file, with the first digits of its digest."""
    return url_for("static", filename=filename, v=_digest(filename))


@lru_cache(maxsize=256)
def _digest(filename: str) -> str:
    return hashlib.sha256(_content(filename)).hexdigest()[:10]


def _content(filename: str) -> bytes:
    parts = JOINED.get(filename, (filename,))
    return b"\n".join((static_dir() / part).read_bytes() for part in parts)


@audience("anyone")
def serve(filename: str) -> Response:
    """One static file; kept a year by the browser, since its address names its content."""
    if filename in JOINED:
        return send_file(BytesIO(_content(filename)), mimetype="text/javascript", max_age=A_YEAR_SECONDS)
    return send_from_directory(static_dir(), filename, max_age=A_YEAR_SECONDS)
