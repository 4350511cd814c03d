"""What a package holds, in words: its files, and the keys of its manifest."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from app.exports.package import SUMS, WORKBOOK
from app.exports.record.document import SCHEMA
from app.exports.record.package_in import FOLDER, MANIFEST
from app.exports.tidy.tables import METADATA, TABLES, file_of
from app.words import N_, Message


def _what(sentence: str) -> Message:
    return Message(sentence)


PACKAGE_FILES: Mapping[str, Message] = MappingProxyType(
    {
        **{file_of(table): table.what for table in TABLES},
        METADATA: _what(N_("What the columns of these tables mean, for other programs")),
        WORKBOOK: _what(N_("The same tables as a workbook")),
        f"{FOLDER}….json": _what(N_("A document for each practical, under its key")),
        SCHEMA: _what(N_("The published form of these documents")),
        "reports/….pdf": _what(N_("A report for each practical, under its key")),
        MANIFEST: _what(N_("What is in the package; its keys stand below")),
        SUMS: _what(N_("SHA-256 sums of all files")),
    }
)

MANIFEST_KEYS: Mapping[str, Message] = MappingProxyType(
    {
        "format": _what(N_("Says that this is a package")),
        "format_version": _what(
            N_("Raised when a package of this form can no longer be read as one of the form before")
        ),
        "software": _what(N_("The version of the tool that wrote the package")),
        "documents": _what(N_("The form of the documents in it")),
        "documents.format": _what(N_("Says what a document is")),
        "documents.format_version": _what(N_("The version of that form")),
        "documents.schema": _what(N_("The file that says what a document holds")),
        "exported_at": _what(N_("When it was made, in UTC")),
        "exported_by": _what(N_("In which role somebody made it")),
        "chosen": _what(N_("Which practicals were asked for, in words")),
        "analysis_version": _what(N_("The number of the analysis that this version of the tool has")),
        "consistency": _what(N_("Of which moment the practicals are")),
        "how_long_it_is_kept": _what(N_("What becomes of the records here, and of this file")),
        "departments_rule": _what(N_("For how long the department keeps its practicals")),
        "departments_rule.words": _what(N_("For how long it keeps words")),
        "departments_rule.runs": _what(N_("For how long it keeps all the rest")),
        "counts": _what(N_("How many there are")),
        "counts.practicals": _what(N_("Practicals in the package")),
        "counts.runs": _what(N_("Runs, without those of a rehearsal")),
        "counts.decisions": _what(N_("Decisions about runs")),
        "counts.without_a_kept_result": _what(N_("Practicals whose result was never kept")),
        "files": _what(N_("Every file but this list and the sums")),
        "files[].name": _what(N_("The file's name")),
        "files[].bytes": _what(N_("Its size in bytes")),
        "files[].sha256": _what(N_("Its SHA-256 sum")),
    }
)
"""By path, with `[]` behind a list's name."""
