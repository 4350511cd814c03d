"""Taking records away: the page that asks what, the ZIP file, how far it is, and ending it."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from flask import copy_current_request_context, g, jsonify, render_template, request
from flask.typing import ResponseReturnValue

from app.analysis.version import ANALYSIS_VERSION
from app.exports.package import Order, Package, Part
from app.exports.record.document import SCHEMA
from app.exports.spool import require_room
from app.practicals.archive.search import choices
from app.practicals.board.snapshot import class_snapshot
from app.practicals.out.whole import practicals_to_export, read_one_by_one
from app.practicals.people.log import note_download
from app.practicals.upkeep.retention import retention_rule
from app.records.whole import WholePractical
from app.resources import static_dir
from app.translations.saying import said_in
from app.web.audience import audience, now
from app.web.department.archive.filters import FilterForm, named_years, read_filters
from app.web.department.blueprint import blueprint
from app.web.department.out.under_way import EXPORTS, UnderWay
from app.web.desk.papers.downloads import software_version
from app.web.languages import language
from app.web.replies import as_file
from app.web.storage import database, settings
from app.words import N_, Message

PARTS = {
    Part.TABLES: (
        Message(N_("Tables as CSV")),
        Message(N_("Runs, benches, results, decisions and practicals, with what each column means.")),
    ),
    Part.DOCUMENTS: (
        Message(N_("Everything as JSON")),
        Message(N_("One document for each practical, to be brought in again without loss.")),
    ),
    Part.WORKBOOK: (
        Message(N_("A workbook")),
        Message(N_("The same tables as sheets, with real numbers and days.")),
    ),
    Part.REPORTS: (
        Message(N_("Reports as PDF")),
        Message(N_("A lesson report for each practical with runs: some seconds each.")),
    ),
}
USUAL = frozenset({Part.TABLES, Part.DOCUMENTS, Part.WORKBOOK})
CONSISTENCY = (
    "Each practical is as it was at one moment, and all files say the same of it; its revision is in "
    "practicals.csv. Practicals that were changed while the file was made may be of different moments."
)
KEPT = (
    "A practical with a day in delete_after is deleted from the department's records after that day, with "
    "all that belongs to it. This file is not: whoever keeps it deletes it."
)
MOST_CHOSEN = 5000
"""Single practicals in one address (our own choice)."""


@blueprint.get("/export")
@audience("staff")
def export() -> ResponseReturnValue:
    """What to take away, and of which practicals."""
    asked = _asked()
    return render_template(
        "department/export.html",
        parts=PARTS,
        ticked=_parts(),
        asked=asked,
        years=named_years(choices(database(), actor=g.teacher)),
        count=len(asked.ids),
        token=secrets.token_urlsafe(),
    )


@blueprint.get("/export/plumbfall.zip")
@audience("staff")
def export_file() -> ResponseReturnValue:
    """The file, made while it is sent. Closing the download ends the work."""
    asked = _asked()
    require_room()
    under_way = EXPORTS.begin(request.args.get("token", ""), g.teacher.teacher_id, len(asked.ids))
    try:
        note_download(database(), actor=g.teacher, what="zip", now=now())
        file = _pieces(asked, _parts(), under_way)
        answer = as_file(file, "application/zip", f"plumbfall-{now():%Y-%m-%d}.zip")
    except BaseException:
        under_way.end()
        raise
    answer.call_on_close(under_way.end)
    return answer


@blueprint.get("/export/<token>")
@audience("staff")
def export_progress(token: str) -> ResponseReturnValue:
    """How far an export is, for the page's script."""
    return _progress(EXPORTS.of(token, g.teacher.teacher_id))


@blueprint.post("/export/<token>/stop")
@audience("staff")
def stop_export(token: str) -> ResponseReturnValue:
    """End an export; the practical that is being written is its last."""
    found = EXPORTS.of(token, g.teacher.teacher_id)
    if found is not None:
        found.stop = True
    return _progress(found)


def _progress(export: UnderWay | None) -> ResponseReturnValue:
    if export is None:
        return jsonify(progress="unknown"), 404
    return jsonify(progress=export.progress, done=export.done, total=export.total)


def _pieces(asked: Asked, parts: frozenset[Part], under_way: UnderWay) -> Iterator[bytes]:
    """The file's bytes, made after this request's context has gone: they take along what they need."""
    # The wall's and the desk's pages know the department's, so that these cannot know them from the start.
    from app.web.board.report import report_bytes  # noqa: PLC0415

    records, teacher = database(), g.teacher

    @copy_current_request_context
    def report(whole: WholePractical) -> bytes | None:
        g.teacher = teacher
        snapshot = class_snapshot(records, whole.practical["id"], actor=teacher)
        return None if snapshot.result is None else report_bytes(snapshot)

    order = Order(
        parts=parts,
        about=_about(asked),
        software=software_version(),
        schema=(static_dir() / "formats" / SCHEMA).read_bytes(),
        say=partial(said_in, language()),
        local=settings().local,
        report=report,
    )
    whole = read_one_by_one(records, asked.ids, for_tables=Part.DOCUMENTS not in parts)
    return under_way.sent(Package(order).pieces(under_way.passing(whole), under_way.step))


def _about(asked: Asked) -> dict[str, Any]:
    return {
        "exported_at": now().isoformat(timespec="seconds"),
        "exported_by": f"a {g.teacher.role}" if not g.teacher.is_head else "the head of department",
        "chosen": asked.in_words,
        "analysis_version": ANALYSIS_VERSION,
        "consistency": CONSISTENCY,
        "how_long_it_is_kept": KEPT,
        "departments_rule": _rule_in_words(),
    }


def _rule_in_words() -> dict[str, str]:
    """For how long the department keeps words and runs, as its rule says on this day."""
    rule = retention_rule(database(), department_id=g.teacher.department_id)
    return {
        "words": f"{rule.words_years} years after the lesson" if rule.words_years else "as long as the runs",
        "runs": f"{rule.runs_years} years after the lesson" if rule.runs_years else "until they are deleted",
    }


@dataclass(frozen=True)
class Asked:
    """Which practicals the address asks for: those that it names, those that pass its filters, or all."""

    filters: FilterForm
    chosen: tuple[int, ...] | None
    ids: Sequence[int]

    @property
    def everything(self) -> bool:
        """Whether nothing narrows it."""
        return self.chosen is None and not self.filters.narrows

    @property
    def in_words(self) -> str | dict[str, str]:
        """As the manifest says it."""
        if self.chosen is not None:
            return "single practicals"
        return self.filters.asked or "everything"


def _asked() -> Asked:
    named = request.args.getlist("practical", type=int)[:MOST_CHOSEN]
    offered = choices(database(), actor=g.teacher)
    form = read_filters(request.args, offered)
    chosen = tuple(named) if "practical" in request.args else None
    ids = practicals_to_export(database(), actor=g.teacher, filters=form.filters, chosen=chosen)
    return Asked(form, chosen, ids)


def _parts() -> frozenset[Part]:
    return frozenset(part for part in Part if part in request.args.getlist("part")) or USUAL
