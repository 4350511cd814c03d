"""Forms that a file goes with: larger than others, and read in one piece."""

from __future__ import annotations

from collections.abc import Callable
from typing import IO, Any, TypeVar

from flask import Flask, Request, current_app, request
from werkzeug.datastructures import FileStorage, MultiDict
from werkzeug.formparser import FormDataParser, MultiPartParser

from app.settings import Settings

LARGEST_REQUEST = 512 * 1024
"""Bytes: the grid's 200 rows of twelve fields take 300 KB where a file goes with them."""
MOST_FIELDS = 3000
"""Of the same rows, with what stands beside them."""
LARGEST_BROUGHT_IN = 7 * 1024 * 1024
"""Bytes of a file that comes into the records: documents of some hundred practicals as a ZIP file. The server
refuses 8 MB before it has read them (`app/serving.py`)."""
_TAKES_A_FILE = "takes_a_file"
View = TypeVar("View", bound=Callable[..., Any])


class WholeFormParser(FormDataParser):
    """Reads a form in parts from one piece of memory.

    Werkzeug's takes pieces of 64 KiB, and where one ends behind an empty field it takes the line that parts
    the fields for the field's text and loses the next field (pallets/werkzeug#3285, seen with 3.1.9).
    """

    def _parse_multipart(
        self, stream: IO[bytes], mimetype: str, content_length: int | None, options: dict[str, str]
    ) -> tuple[IO[bytes], MultiDict[str, str], MultiDict[str, FileStorage]]:
        parser = MultiPartParser(
            stream_factory=self.stream_factory,
            max_form_memory_size=self.max_form_memory_size,
            max_form_parts=self.max_form_parts,
            cls=self.cls,
            buffer_size=largest_taken() or LARGEST_REQUEST,
        )
        boundary = options.get("boundary", "").encode("ascii")
        if not boundary:
            raise ValueError("Missing boundary")
        return stream, *parser.parse(stream, boundary, content_length)


class RequestInOnePiece(Request):
    """A request whose forms are read so."""

    form_data_parser_class = WholeFormParser


def wire(app: Flask, settings: Settings) -> None:
    """Before the form tokens are looked at, which reads the form."""
    app.request_class = RequestInOnePiece
    app.before_request(_take_more)


def takes_a_file(view: View, largest: int = LARGEST_REQUEST) -> View:
    """Mark a view whose form may be as large as that."""
    setattr(view, _TAKES_A_FILE, largest)
    return view


def largest_taken() -> int | None:
    """How many bytes the form of this request may have, where a file goes with it."""
    view = current_app.view_functions.get(request.endpoint or "")
    return getattr(view, _TAKES_A_FILE, None)


def _take_more() -> None:
    if (largest := largest_taken()) is not None:
        request.max_content_length = request.max_form_memory_size = largest
        request.max_form_parts = MOST_FIELDS
