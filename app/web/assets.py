"""What goes to slow, shared Wi-Fi: files under addresses that change with their content, text compressed."""

from __future__ import annotations

import hashlib
import re
from functools import lru_cache
from io import BytesIO

from flask import Flask, Response, send_file, send_from_directory, url_for
from flask_compress import Compress
from markupsafe import Markup

from app.figures.look import EVERY_SIZE
from app.resources import static_dir
from app.settings import Settings
from app.web.audience import A_YEAR_SECONDS, audience

OF_THE_DESK = (
    "css/tokens-desk.css",
    "css/tokens-print.css",
    "css/plumbfall.css",
    "css/parts.css",
    "css/desk.css",
    "css/department.css",
)
"""What every page in the desk's frame is drawn with."""

# Files that a page loads as one: a phone's first visit brings all scripts that its later steps need, and each
# kind of page its tokens (written by app.look) together with the parts that use them.
JOINED = {
    "css/plain.css": ("css/tokens-phone.css", "css/plumbfall.css"),
    "css/for-phone.css": ("css/tokens-phone.css", "css/plumbfall.css", "css/bench.css"),
    "css/for-desk.css": (*OF_THE_DESK, "css/first.css"),
    "css/for-guide.css": (*OF_THE_DESK, "css/guide.css"),
    "css/guide-on-a-phone.css": (
        "css/tokens-phone.css",
        "css/tokens-print.css",
        "css/plumbfall.css",
        "css/bench.css",
        "css/guide.css",
    ),
    "css/take-home.css": (
        "css/tokens-phone.css",
        "css/tokens-print.css",
        "css/plumbfall.css",
        "css/parts.css",
        "css/report.css",
    ),
    "css/for-wall.css": ("css/tokens-wall.css", "css/plumbfall.css", "css/parts.css", "css/board.css"),
    "js/bench.js": (
        "js/asking.js",
        *(
            f"js/bench-{part}.js"
            for part in (
                "store",
                "queue",
                "leave",
                "wait",
                "sign",
                "tap",
                "draft",
                "asked",
                "run",
                "count",
                "class",
            )
        ),
    ),
}

KINDS = {"css": "text/css", "js": "text/javascript"}
COMMENT_LINES = re.compile(rb"^\s*/\*(?:(?!\*/).)*\*/\s*?\n", re.MULTILINE | re.DOTALL)
"""Comments that have their lines to themselves: a sixth of what a phone's first visit brings."""

TEXT = [
    "text/html",
    "text/css",
    "text/javascript",
    "application/javascript",
    "application/json",
    "image/svg+xml",
]


def wire(app: Flask, settings: Settings) -> None:
    """Offer `asset()` and `sides_of()` to the templates, serve the files, compress what is text."""
    _compress(app)
    app.jinja_env.globals.update(asset=asset, sides_of=sides_of)
    app.add_url_rule("/static/<path:filename>", "static", serve)


def asset(filename: str) -> str:
    """The address of a static file, with the first digits of its digest."""
    return url_for("static", filename=filename, v=_digest(filename))


def sides_of(size: str) -> Markup:
    """The attributes of an image that keep the room for a figure of this size while it is on its way."""
    figure = EVERY_SIZE[size]
    return Markup('width="{:g}" height="{:g}"').format(figure.width, figure.height)


@lru_cache(maxsize=256)
def _digest(filename: str) -> str:
    return hashlib.sha256(_content(filename)).hexdigest()[:10]


def _content(filename: str) -> bytes:
    parts = [(static_dir() / part).read_bytes() for part in JOINED.get(filename, (filename,))]
    if filename not in JOINED:
        return parts[0]
    return b"\n".join(COMMENT_LINES.sub(b"", part) for part in parts)


@audience("anyone")
def serve(filename: str) -> Response:
    """One static file; kept a year by the browser, since its address names its content."""
    if filename in JOINED:
        kind = KINDS[filename.rsplit(".", 1)[-1]]
        return send_file(BytesIO(_content(filename)), mimetype=kind, max_age=A_YEAR_SECONDS)
    return send_from_directory(static_dir(), filename, max_age=A_YEAR_SECONDS)


def _compress(app: Flask) -> None:
    """Compress what browsers can unpack.

    Browsers offer br only over https, so gzip is there for streams (files) too. A form's token is
    signed anew for every page and SameSite cookies keep other sites from asking for one.
    """
    app.config.update(
        COMPRESS_MIMETYPES=TEXT,
        COMPRESS_ALGORITHM=["br", "gzip"],
        COMPRESS_ALGORITHM_STREAMING=["br", "gzip"],
        COMPRESS_BR_LEVEL=5,
        COMPRESS_MIN_SIZE=400,
    )
    Compress(app)
