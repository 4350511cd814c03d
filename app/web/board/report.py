"""The lesson report as a page and as a PDF."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from flask import Response, abort, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.figures.look import PAGE_ROOMS
from app.figures.own_mark import with_own_mark
from app.figures.studio import Drawing
from app.practicals.board.snapshot import Snapshot
from app.practicals.people.log import note_download
from app.practicals.runs.history import history
from app.web.audience import audience, now
from app.web.board.pages import blueprint, database_name, studio
from app.web.board.report_content import report_of
from app.web.board.take_home import take_home_of
from app.web.desk.blueprint import snapshot_here
from app.web.desk.papers.downloads import file_name
from app.web.languages import language, say, text_direction
from app.web.numbers import figures_whole
from app.web.replies import as_figure, as_file
from app.web.storage import database
from app.words import Message


@blueprint.get("/<int:practical_id>/report")
@audience("staff")
def report(practical_id: int) -> ResponseReturnValue:
    """The report on a page."""
    snapshot = snapshot_here(practical_id)
    story = history(database(), actor=g.teacher, practical_id=practical_id)
    return render_template(
        "board/report.html",
        snapshot=snapshot,
        report=report_of(snapshot, story),
        figure_address=_figures_of(snapshot),
    )


@blueprint.get("/<int:practical_id>/bench/<int:number>/take-home")
@audience("teacher")
def bench_sheet(practical_id: int, number: int) -> ResponseReturnValue:
    """What one bench takes home, to be printed for it; for the teacher at any step of the wall."""
    snapshot = snapshot_here(practical_id)
    if not snapshot.runs_of(number):
        abort(404)
    return render_template(
        "board/take_home.html",
        report=take_home_of(snapshot, number),
        figure_address=_figures_of(snapshot, number),
        back=url_for("desk.bench", number=number),
        bench_number=number,
    )


@blueprint.get("/<int:practical_id>/report.pdf")
@audience("staff")
def report_file(practical_id: int) -> ResponseReturnValue:
    """The report to print or to keep."""
    snapshot = snapshot_here(practical_id)
    body = report_bytes(snapshot, "Letter" if request.args.get("paper") == "Letter" else "A4")
    note_download(database(), actor=g.teacher, what="report", now=now(), practical_id=practical_id)
    return as_file(body, "application/pdf", f"{file_name(snapshot.practical)}.pdf")


def report_bytes(snapshot: Snapshot, paper: Literal["A4", "Letter"] = "A4") -> bytes:
    """The report as a PDF, in the reader's language."""
    from app.exports.papers.report import report_pdf  # noqa: PLC0415 - the PDF library is slow to load

    story = history(database(), actor=g.teacher, practical_id=snapshot.practical.practical_id)
    return report_pdf(
        report_of(snapshot, story),
        say=say,
        picture=lambda name: _drawn(snapshot, name, "png", "print"),
        language=language(),
        right_to_left=text_direction() == "rtl",
        now=now(),
        paper=paper,
    )


@blueprint.get("/<int:practical_id>/report/<name>.svg")
@audience("staff")
def report_figure(practical_id: int, name: str) -> ResponseReturnValue:
    """A figure of the report; the address carries the revision, so that it belongs to its page."""
    snapshot = snapshot_here(practical_id)
    room = request.args.get("room", "page")
    if room not in PAGE_ROOMS:
        abort(404)
    if request.args.get("revision") != str(snapshot.revision) or snapshot.result is None:
        return Response(status=409)
    drawn = _drawn(snapshot, name, "svg", room)
    if bench := request.args.get("bench"):
        drawn = with_own_mark(drawn, bench, snapshot.result, "page", room)
    return as_figure(drawn)


def _figures_of(snapshot: Snapshot, bench: int | None = None) -> Callable[[str, str], str]:
    """The address of a figure by its name and room; with a bench's own mark, where one is named."""

    def address(name: str, room: str) -> str:
        return url_for(
            "board.report_figure",
            name=name,
            revision=snapshot.revision,
            language=language(),
            room=room,
            bench=bench,
        )

    return address


def _drawn(snapshot: Snapshot, name: str, kind: str, room: str) -> bytes:
    """A figure in page size, in the reader's language."""
    assert snapshot.result is not None
    wanted = Drawing(
        database_name(),
        snapshot.practical.practical_id,
        snapshot.revision,
        name,
        "page",
        language(),
        room,
        kind,
        right_to_left=text_direction() == "rtl",
        complete=True,
    )
    return studio.draw(wanted, snapshot.result, say)


@blueprint.app_template_global("spoken")
@blueprint.app_template_filter("spoken")
def spoken(words: Message | str) -> str:
    """A message in the reader's language; typed text as it was typed."""
    return words if isinstance(words, str) else figures_whole(say(words))
