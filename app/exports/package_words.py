"""What a package holds, in words: its files, and the keys of its manifest."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from app.exports.package import SUMS, WORKBOOK
from app.exports.record.document import SCHEMA
from app.exports.record.package_in import FOLDER, MANIFEST
from app.exports.tidy.tables import METADATA, TABLES, file_of
from app.words import N_, Message

PACKAGE_FILES: Mapping[str, Message] = MappingProxyType(
    {
        **{file_of(table): table.what for table in TABLES},
        METADATA: Message(N_("What the columns of these tables mean, for other programs")),
        WORKBOOK: Message(N_("The same tables as a workbook")),
        f"{FOLDER}….json": Message(N_("A document for each practical, under its key")),
        SCHEMA: Message(N_("The published form of these documents")),
        "reports/….pdf": Message(N_("A report for each practical, under its key")),
        MANIFEST: Message(N_("What is in the package; its keys stand below")),
        SUMS: Message(N_("SHA-256 sums of all files")),
    }
)

MANIFEST_KEYS: Mapping[str, Message] = MappingProxyType(
    {
        "format": Message(N_("Says that this is a package")),
        "format_version": Message(
            N_("Raised when a package of this form can no longer be read as one of the form before")
        ),
        "software": Message(N_("The version of the tool that wrote the package")),
        "documents": Message(N_("The form of the documents in it")),
        "documents.format": Message(N_("Says what a document is")),
        "documents.format_version": Message(N_("The version of that form")),
        "documents.schema": Message(N_("The file that says what a document holds")),
        "exported_at": Message(N_("When it was made, in UTC")),
        "exported_by": Message(N_("In which role somebody made it")),
        "chosen": Message(N_("Which practicals were asked for, in words")),
        "analysis_version": Message(N_("The number of the analysis that this version of the tool has")),
        "consistency": Message(N_("Of which moment the practicals are")),
        "how_long_it_is_kept": Message(N_("What becomes of the records here, and of this file")),
        "departments_rule": Message(N_("For how long the department keeps its practicals")),
        "departments_rule.words": Message(N_("For how long it keeps words")),
        "departments_rule.runs": Message(N_("For how long it keeps all the rest")),
        "counts": Message(N_("How many there are")),
        "counts.practicals": Message(N_("Practicals in the package")),
        "counts.runs": Message(N_("Runs, without those of a rehearsal")),
        "counts.decisions": Message(N_("Decisions about runs")),
        "counts.without_a_kept_result": Message(N_("Practicals whose result was never kept")),
        "files": Message(N_("Every file but this list and the sums")),
        "files[].name": Message(N_("The file's name")),
        "files[].bytes": Message(N_("Its size in bytes")),
        "files[].sha256": Message(N_("Its SHA-256 sum")),
    }
)
"""By path, with `[]` behind a list's name."""
