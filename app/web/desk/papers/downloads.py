"""Runs to take away: as CSV for the command line and other tools, and as a workbook."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import replace
from importlib.metadata import version

from flask import Response, g
from flask.typing import ResponseReturnValue

from app.analysis.readings import RunReadings
from app.exports.class_table import PIECES, TableRun, class_table
from app.exports.record import exact_json
from app.exports.record.document import document
from app.exports.workbook import SPECIFIC_HEAT, Fact, class_workbook
from app.physics.materials import MATERIALS
from app.physics.reading.ends import MEASURED_BY_BENCHES
from app.physics.reading.readings import decimal_text
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.kit.used import labels_of_pieces
from app.practicals.lesson.details import Plan, PracticalDetails
from app.practicals.out.whole import whole_practical
from app.practicals.people.log import note_download
from app.practicals.runs.history import HistoryLine, history
from app.records.choices import HistoryKind, PieceKind
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, practical_here
from app.web.desk.lesson.view import RunRow, run_rows
from app.web.languages import say
from app.web.storage import database, settings
from app.words import N_, Message

WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@blueprint.get("/<int:practical_id>/runs.csv")
@audience("staff")
def runs_csv(practical_id: int) -> ResponseReturnValue:
    """Every run with its decisions; the command `analyse` reads it back to the same numbers."""
    snapshot = class_snapshot(database(), practical_id, actor=g.teacher)
    # The byte order mark lets a spreadsheet know that this is UTF-8.
    text = "\ufeff" + class_table(table_runs(snapshot, _lines(practical_id), _labels()))
    note_download(database(), actor=g.teacher, what="csv", now=now(), practical_id=practical_id)
    return _download(text.encode(), "text/csv; charset=utf-8", snapshot.practical, "csv")


@blueprint.get("/<int:practical_id>/runs.xlsx")
@audience("staff")
def runs_workbook(practical_id: int) -> ResponseReturnValue:
    """The same as a workbook, with the class result and the set-up."""
    snapshot = class_snapshot(database(), practical_id, actor=g.teacher)
    runs = table_runs(snapshot, _lines(practical_id), _labels())
    book = class_workbook(runs, snapshot.result, _set_up(snapshot.practical), say, settings().local)
    note_download(database(), actor=g.teacher, what="xlsx", now=now(), practical_id=practical_id)
    return _download(book, WORKBOOK_TYPE, snapshot.practical, "xlsx")


@blueprint.get("/<int:practical_id>/practical.json")
@audience("staff")
def practical_document(practical_id: int) -> ResponseReturnValue:
    """All that is kept of the practical, as a document that can be read in again without loss."""
    whole = whole_practical(database(), actor=g.teacher, practical_id=practical_id)
    text = exact_json.written(document(whole, software_version()))
    practical = practical_here(practical_id)
    note_download(database(), actor=g.teacher, what="json", now=now(), practical_id=practical_id)
    return _download(text.encode(), "application/json", practical, "json")


def software_version() -> str:
    """The version of the installed tool."""
    return version("plumbfall")


def table_runs(snapshot: Snapshot, lines: list[HistoryLine], labels: Mapping[int, str]) -> list[TableRun]:
    """The runs of a snapshot with the last decision and the last correction of each, and with the labels of
    their pieces of kit."""
    decisions = {line.run_id: line for line in lines if line.is_decision}
    corrections = {line.run_id: line for line in lines if line.kind == HistoryKind.RUN_CORRECTED}
    return [
        replace(
            _table_run(row, readings, decisions.get(row.run.run_id), corrections.get(row.run.run_id)),
            class_room_temperature_C=snapshot.practical.plan.room_temperature_C,
            pieces=dict(
                zip(PIECES, (labels.get(row.run.pieces.get(kind, 0), "") for kind in PieceKind), strict=True)
            ),
        )
        for row, readings in zip(run_rows(snapshot), snapshot.readings, strict=True)
    ]


def _table_run(
    row: RunRow, readings: RunReadings, decision: HistoryLine | None, correction: HistoryLine | None
) -> TableRun:
    return TableRun(
        readings=readings,
        worked=row.worked,
        versions=row.run.version,
        entered_by=str(row.run.entered_by),
        first_sent_at=row.run.first_sent_at,
        simulated=row.run.simulated,
        decision=decision.kind if decision else "",
        decision_reason=decision.reason if decision else "",
        decided_by=decision.actor if decision else "",
        decided_at=decision.at if decision else None,
        correction_reason=correction.reason if correction else "",
    )


def command_line(practical: PracticalDetails) -> str:
    """The command that gives the page's numbers again from the downloaded table."""
    plan = practical.plan
    options: list[tuple[str, object]] = [
        ("--material", plan.material),
        ("--accepted", decimal_text(plan.accepted_J_per_kg_K)),
        ("--gravity", decimal_text(plan.gravity_m_per_s2)),
        ("--gravity-sd", decimal_text(plan.u_gravity_m_per_s2)),
        ("--thermometer-step", decimal_text(plan.thermometer_step_K)),
        ("--reading-sd", decimal_text(plan.reading_sd_K)),
        ("--length-sd", decimal_text(plan.length_sd_m)),
    ]
    if plan.room_temperature_C is not None:
        options.append(("--room-temperature", decimal_text(plan.room_temperature_C)))
    words = " ".join(f"{name} {value}" for name, value in options)
    return f"plumbfall analyse {file_name(practical)}.csv {words}"


def _labels() -> Mapping[int, str]:
    return labels_of_pieces(database(), actor=g.teacher)


def _lines(practical_id: int) -> list[HistoryLine]:
    return history(database(), actor=g.teacher, practical_id=practical_id)


def _set_up(practical: PracticalDetails) -> list[Fact]:
    """The plan in the units of the run table."""
    plan = practical.plan
    metal = MATERIALS[plan.material].name if plan.material in MATERIALS else plan.material
    return [
        Fact(Message(N_("Title")), plan.title),
        Fact(Message(N_("Day of the lesson")), plan.held_on),
        Fact(Message(N_("Metal of the shot")), metal),
        Fact(Message(N_("Accepted value")), plan.accepted_J_per_kg_K, SPECIFIC_HEAT),
        Fact(Message(N_("Source of the accepted value")), plan.accepted_source),
        Fact(Message(N_("g")), plan.gravity_m_per_s2, "m/s²"),
        Fact(Message(N_("Tube length")), plan.tube_length_m.scaleb(2), "cm"),
        _end_allowance(plan),
        Fact(Message(N_("Inversions planned")), plan.inversions),
        Fact(Message(N_("Thermometer step")), plan.thermometer_step_K, "K"),
        Fact(Message(N_("Room temperature")), plan.room_temperature_C, "°C"),
        Fact(Message(N_("Benches planned")), plan.planned_benches),
    ]


def _end_allowance(plan: Plan) -> Fact:
    name = Message(N_("End allowance"))
    return (
        Fact(name, MEASURED_BY_BENCHES)
        if plan.depth_measured
        else Fact(name, plan.end_allowance_m.scaleb(2), "cm")
    )


def _download(body: bytes, kind: str, practical: PracticalDetails, ending: str) -> Response:
    answer = Response(body, content_type=kind)
    answer.headers["Content-Disposition"] = f'attachment; filename="{file_name(practical)}.{ending}"'
    answer.headers["Cache-Control"] = "no-store"
    return answer


def file_name(practical: PracticalDetails) -> str:
    """A plain file name from day and title."""
    ascii_title = unicodedata.normalize("NFKD", practical.title).encode("ascii", "ignore").decode()
    plain = re.sub(r"[^A-Za-z0-9]+", "-", ascii_title).strip("-").lower()
    return f"{practical.plan.held_on.isoformat()}-{plain or 'practical'}"
