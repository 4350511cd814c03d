"""Bringing past practicals in: documents and packages of this tool at once, others' tables step by step."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Any

from flask import g, render_template, request
from flask.typing import ResponseReturnValue

from app.exports.past.sheets import Sheets, TableProblem, is_workbook, sheet_of_text, sheets_of_workbook
from app.exports.record.cells_in import DocumentProblem
from app.exports.record.comparing import says_the_same
from app.exports.record.package_in import IS_ZIP, documents_in
from app.exports.record.reading import read_document
from app.practicals.bring_in.record import BroughtIn, Outcome
from app.practicals.bring_in.record import bring_in as bring_in_practical
from app.records.errors import Conflict, Unprocessable
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint
from app.web.department.bring_in.table import first_page
from app.web.storage import database, settings
from app.web.uploads import LARGEST_BROUGHT_IN, takes_a_file
from app.words import N_, Message

FILE = "file"
SPACE_AND_BOM = b"\xef\xbb\xbf \t\r\n"
OUTCOMES = {
    Outcome.STORED: Message(N_("stored")),
    Outcome.HERE_ALREADY: Message(N_("is here already, and says the same: nothing was stored again")),
    Outcome.HERE_OTHERWISE: Message(
        N_("is here already, and says something else here: it was left as it is, and nothing was stored")
    ),
}
GOES_SOON = Message(N_("stored; its own delete-after day is past, so it is deleted within the hour"))
RELABELLED = N_(
    "Here “%(label)s” is a piece of another kind: the practical's own piece of that label is called "
    "“%(here)s” in the kit."
)
NO_FILE = Message(N_("No file was chosen. Choose one, then press the button."))


@dataclass(frozen=True)
class Line:
    """What became of one document: its title, or its name where it could not be read."""

    name: str
    told: Message
    brought: BroughtIn | None = None

    @property
    def is_stored(self) -> bool:
        """Whether it is new here."""
        return self.brought is not None and self.brought.outcome is Outcome.STORED

    @property
    def more(self) -> list[Message]:
        """What else there is to know: pieces of kit that have other labels here."""
        relabelled = self.brought.relabelled if self.brought else ()
        return [Message(RELABELLED, {"label": one.label, "here": one.here}) for one in relabelled]


@blueprint.get("/bring-in")
@audience("teacher")
def bring_in() -> ResponseReturnValue:
    """The form for a file."""
    return _page()


@blueprint.post("/bring-in")
@audience("teacher")
@partial(takes_a_file, largest=LARGEST_BROUGHT_IN)
def take_file() -> ResponseReturnValue:
    """Store what the file holds, and say of each practical what became of it."""
    sent = request.files.get(FILE)
    if sent is None:
        return _page(NO_FILE), 422
    with closing(sent):
        data = sent.read()
    if not (sent.filename or data):
        return _page(NO_FILE), 422
    try:
        if is_workbook(data):
            return first_page(sheets_of_workbook(data))
        if not data.startswith(IS_ZIP) and not data.lstrip(SPACE_AND_BOM).startswith((b"{", b"[")):
            return first_page(Sheets([sheet_of_text(data)]))
        lines = [*_lines(data)]
    except (DocumentProblem, TableProblem, Conflict, Unprocessable) as problem:
        return _page(problem.message), 422
    return render_template("department/brought_in.html", lines=lines)


def _lines(data: bytes) -> Iterator[Line]:
    if not data.startswith(IS_ZIP):
        yield _stored(data)
        return
    for one in documents_in(BytesIO(data)):
        try:
            if isinstance(one.data, DocumentProblem):
                raise one.data
            yield _stored(one.data)
        except (DocumentProblem, Conflict, Unprocessable) as problem:
            yield Line(one.name, problem.message)


def _stored(data: bytes) -> Line:
    practical, found = read_document(data)
    same = partial(says_the_same, found)
    brought = bring_in_practical(
        database(), actor=g.teacher, practical=practical, is_the_same=same, now=now()
    )
    goes = practical.practical["delete_after"]
    soon = brought.outcome is Outcome.STORED and goes is not None and goes < settings().local_day(now())
    return Line(practical.practical["title"], GOES_SOON if soon else OUTCOMES[brought.outcome], brought)


def _page(problem: Message | None = None, **more: Any) -> str:
    return render_template(
        "department/bring_in.html", problem=problem, most=LARGEST_BROUGHT_IN // 1024**2, **more
    )
