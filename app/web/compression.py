"""Text answers go out compressed: school Wi-Fi is slow and shared by a whole class."""

from __future__ import annotations

from flask import Flask
from flask_compress import Compress

from app.settings import Settings

TEXT = [
    "text/html",
    "text/css",
    "text/javascript",
    "application/javascript",
    "application/json",
    "image/svg+xml",
]


def wire(app: Flask, settings: Settings) -> None:
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
