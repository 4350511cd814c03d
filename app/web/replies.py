"""Replies that are no whole page: a file to keep, a figure, a part that a script asks for again and again."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response


def as_file(body: bytes | Iterator[bytes], content_type: str, name: str, *, opened: bool = False) -> Response:
    """A file under this name, which no cache keeps; `opened`: shown by the browser rather than saved."""
    reply = Response(body, content_type=content_type)
    reply.headers["Content-Disposition"] = f'{"inline" if opened else "attachment"}; filename="{name}"'
    reply.headers["Cache-Control"] = "no-store"
    return reply


def as_figure(svg: bytes, seconds: int = 120) -> Response:
    """A figure, which this reader's browser may keep for so long."""
    headers = {"Cache-Control": f"private, max-age={seconds}", "Vary": "Cookie"}
    return Response(svg, mimetype="image/svg+xml", headers=headers)


def with_tag(reply: Response, tag: str | None) -> Response:
    """The reply with the tag by which a script asks later whether anything is new."""
    if tag:
        reply.set_etag(tag, weak=True)  # the same part, however it is packed
    reply.headers["Cache-Control"] = "private, no-cache"
    return reply
