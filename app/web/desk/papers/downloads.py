"""A practical to take away: its tables as CSV with what they mean, a workbook, all of it as a document."""

from __future__ import annotations

import io
import json
import re
import unicodedata
from importlib.metadata import version

from flask import Response, g
from flask.typing import ResponseReturnValue

from app.analysis.version import ANALYSIS_VERSION
from app.analysis.views.json import as_plain_data
from app.exports.record import exact_json
from app.exports.record.document import document
from app.exports.tidy.column import Table
from app.exports.tidy.columns import DECISIONS, RUNS
from app.exports.tidy.csv_text import CsvText
from app.exports.tidy.csvw import metadata
from app.exports.tidy.rows import KeptFigures
from app.exports.tidy.tables import rows_of
from app.exports.workbook import PracticalsWorkbook
from app.practicals.board.snapshot import Snapshot
from app.practicals.lesson.details import PracticalDetails
from app.practicals.out.whole import whole_practical
from app.practicals.people.log import note_download
from app.records.whole import WholePractical
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, practical_here, snapshot_here
from app.web.languages import say
from app.web.replies import as_file
from app.web.storage import database, settings

WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
CSV_TYPE, JSON_TYPE = "text/csv; charset=utf-8", "application/json"
METADATA_TYPE = "application/csvm+json"
"""Of CSV on the Web ("Metadata Vocabulary for Tabular Data", appendix on IANA considerations)."""
_TRIES = 3


@blueprint.get("/<int:practical_id>/runs.csv")
@audience("staff")
def runs_csv(practical_id: int) -> ResponseReturnValue:
    """Every run with all that it needs to stand alone; the command `analyse` reads it without options."""
    return _table(RUNS, practical_id, "csv")


@blueprint.get("/<int:practical_id>/decisions.csv")
@audience("staff")
def decisions_csv(practical_id: int) -> ResponseReturnValue:
    """Every decision about a run, in order."""
    return _table(DECISIONS, practical_id, "decisions")


@blueprint.get("/<int:practical_id>/csv-metadata.json")
@audience("staff")
def tables_metadata(practical_id: int) -> ResponseReturnValue:
    """What the columns of both tables mean, with their units (CSV on the Web)."""
    practical = practical_here(practical_id)
    tables = (RUNS, DECISIONS)
    found = metadata(tables, {table.name: table_file(practical, table) for table in tables})
    text = json.dumps(found, ensure_ascii=False, indent=1)
    return as_file(text.encode(), METADATA_TYPE, f"{file_name(practical)}.csv-metadata.json")


@blueprint.get("/<int:practical_id>/runs.xlsx")
@audience("staff")
def runs_workbook(practical_id: int) -> ResponseReturnValue:
    """Runs and decisions as a workbook, with benches, class result and what the columns mean."""
    whole, snapshot = _moment(practical_id)
    held = io.BytesIO()
    book = PracticalsWorkbook(held, say, settings().local)
    book.add(whole, kept_figures(snapshot), rehearsal=snapshot.rehearsal)
    book.finish()
    note_download(database(), actor=g.teacher, what="xlsx", now=now(), practical_id=practical_id)
    return as_file(held.getvalue(), WORKBOOK_TYPE, f"{file_name(snapshot.practical)}.xlsx")


@blueprint.get("/<int:practical_id>/practical.json")
@audience("staff")
def practical_document(practical_id: int) -> ResponseReturnValue:
    """All that is kept of the practical, as a document that can be read in again without loss."""
    whole = whole_practical(database(), actor=g.teacher, practical_id=practical_id)
    text = exact_json.dumps(document(whole, software_version()))
    note_download(database(), actor=g.teacher, what="json", now=now(), practical_id=practical_id)
    return as_file(text.encode(), JSON_TYPE, f"{file_name(practical_here(practical_id))}.json")


def software_version() -> str:
    """The version of the installed tool."""
    return version("plumbfall")


def kept_figures(snapshot: Snapshot) -> KeptFigures | None:
    """The class's result as it is now."""
    if snapshot.result is None:
        return None
    return KeptFigures(as_plain_data(snapshot.result), ANALYSIS_VERSION)


def command_line(practical: PracticalDetails) -> str:
    """The command that gives the page's numbers again from the downloaded table."""
    return f"plumbfall analyse {table_file(practical, RUNS)}"


def table_file(practical: PracticalDetails, table: Table) -> str:
    """The name under which a practical's table is kept."""
    part = "" if table is RUNS else f"-{table.name}"
    return f"{file_name(practical)}{part}.csv"


def _table(table: Table, practical_id: int, what: str) -> Response:
    whole, snapshot = _moment(practical_id)
    rows = rows_of(table, whole, kept_figures(snapshot), rehearsal=snapshot.rehearsal)
    written = CsvText(table)
    text = written.heading() + written.rows(rows)
    note_download(database(), actor=g.teacher, what=what, now=now(), practical_id=practical_id)
    return as_file(text, CSV_TYPE, table_file(snapshot.practical, table))


def _moment(practical_id: int) -> tuple[WholePractical, Snapshot]:
    """The practical's rows and its result, both of the same revision: read again where one came between."""
    for _ in range(_TRIES):
        snapshot = snapshot_here(practical_id)
        whole = whole_practical(database(), actor=g.teacher, practical_id=practical_id)
        if whole.practical["revision"] == snapshot.revision:
            break
    return whole, snapshot


def file_name(practical: PracticalDetails) -> str:
    """A plain file name from day and title."""
    ascii_title = unicodedata.normalize("NFKD", practical.title).encode("ascii", "ignore").decode()
    plain = re.sub(r"[^A-Za-z0-9]+", "-", ascii_title).strip("-").lower()
    return f"{practical.plan.held_on.isoformat()}-{plain or 'practical'}"
