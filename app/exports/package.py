"""Many practicals as one ZIP file, written while it is sent: tables, documents, workbook, what is in it.

Each practical is taken once, so that all files say the same of it. A ZIP file holds one file after the other:
what cannot go out at once is spooled (`spool`), and memory stays the same however many practicals there are.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from zipfile import ZIP_DEFLATED

from zipstream import ZipStream

from app.exports.record import exact_json
from app.exports.record.document import FORMAT, FORMAT_VERSION, SCHEMA, document, key_of
from app.exports.record.package_in import FOLDER, MANIFEST, PACKAGE_FORMAT, PACKAGE_VERSION
from app.exports.spool import SpooledTable, SpooledWorkbook
from app.exports.tidy.class_columns import PRACTICALS
from app.exports.tidy.column import Table
from app.exports.tidy.csv_text import CsvText
from app.exports.tidy.csvw import metadata
from app.exports.tidy.rows import KeptFigures
from app.exports.tidy.tables import METADATA, TABLES, file_of, rows_of
from app.exports.workbook import Local
from app.records.whole import WholePractical
from app.words import Say

LEVEL = 6
"""How hard zlib tries (its own usual)."""
SUMS, WORKBOOK = "SHA256SUMS", "plumbfall.xlsx"


class Part(StrEnum):
    """What a package may hold beside the table of practicals, by the names of an address."""

    TABLES = "tables"
    DOCUMENTS = "documents"
    WORKBOOK = "workbook"
    REPORTS = "reports"


@dataclass(frozen=True)
class Order:
    """What was asked for. `about` is what the manifest says beside counts and files: who in which role, when,
    what was chosen, how long it is kept. `report` gives a practical's report as a PDF, or None."""

    parts: frozenset[Part]
    about: Mapping[str, Any]
    software: str
    schema: bytes
    say: Say
    local: Local
    report: Callable[[WholePractical], bytes | None]


class Package:
    """A ZIP file while it is made."""

    def __init__(self, order: Order) -> None:
        self.order = order
        self.counts: Counter[str] = Counter()
        self.files: list[dict[str, Any]] = []
        self._zip = ZipStream(compress_type=ZIP_DEFLATED, compress_level=LEVEL)

    def pieces(self, practicals: Iterable[WholePractical], done: Callable[[], None]) -> Iterator[bytes]:
        """The bytes of the file; `done` is called after each practical. Closing the iterator gives it up."""
        parts = self.order.parts
        wanted = TABLES if Part.TABLES in parts else (PRACTICALS,)
        with ExitStack() as stack:
            one_by_one = bool(parts & {Part.DOCUMENTS, Part.REPORTS})
            at_once = None if one_by_one else wanted[0]
            spooled = [stack.enter_context(SpooledTable(one)) for one in wanted if one is not at_once]
            book = None
            if Part.WORKBOOK in parts:
                book = stack.enter_context(SpooledWorkbook(self.order.say, self.order.local))
            passing = self._passing(practicals, spooled, book, done)
            if at_once is None:
                yield from self._one_by_one(passing)
            else:
                yield from self._file(file_of(at_once), _table(at_once, passing))
            for file in spooled:
                yield from self._file(file_of(file.table), file.pieces())
            yield from self._file(METADATA, [self._metadata(wanted)])
            if book is not None:
                yield from self._file(WORKBOOK, book.pieces())
            yield from self._file(MANIFEST, [_json(self._manifest())])
            yield from self._file(SUMS, [self._sums()])
            yield from self._zip.finalize()

    def _passing(
        self,
        practicals: Iterable[WholePractical],
        spooled: Iterable[SpooledTable],
        book: SpooledWorkbook | None,
        done: Callable[[], None],
    ) -> Iterator[WholePractical]:
        """Each practical, once it is counted and written to what is spooled."""
        for whole in practicals:
            self._count(whole)
            for file in spooled:
                file.add(rows_of(file.table, whole, kept_of(whole)))
            if book is not None:
                book.add(whole, kept_of(whole))
            yield whole
            done()

    def _one_by_one(self, practicals: Iterable[WholePractical]) -> Iterator[bytes]:
        """The files that each practical has for itself."""
        parts = self.order.parts
        for whole in practicals:
            if Part.DOCUMENTS in parts:
                text = exact_json.dumps(document(whole, self.order.software))
                yield from self._file(f"{FOLDER}{key_of(whole)}.json", [text.encode()])
            if Part.REPORTS in parts and (report := self.order.report(whole)) is not None:
                yield from self._file(f"reports/{key_of(whole)}.pdf", [report])
        if Part.DOCUMENTS in parts:
            yield from self._file(SCHEMA, [self.order.schema])

    def _file(self, name: str, pieces: Iterable[bytes]) -> Iterator[bytes]:
        """One file of the package, with its sum noted."""
        digest, size = hashlib.sha256(), 0

        def summed() -> Iterator[bytes]:
            nonlocal size
            for piece in pieces:
                digest.update(piece)
                size += len(piece)
                yield piece

        self._zip.add(summed(), name)
        yield from self._zip.file()
        self.files.append({"name": name, "bytes": size, "sha256": digest.hexdigest()})

    def _count(self, whole: WholePractical) -> None:
        self.counts["practicals"] += 1
        self.counts["runs"] += sum(not run.simulated for run in whole.runs)
        self.counts["decisions"] += len(whole.decisions)
        self.counts["without_a_kept_result"] += not whole.results

    def _metadata(self, tables: Iterable[Table]) -> bytes:
        return _json(metadata([*tables], {table.name: file_of(table) for table in tables}))

    def _manifest(self) -> dict[str, Any]:
        return {
            "format": PACKAGE_FORMAT,
            "format_version": PACKAGE_VERSION,
            "software": self.order.software,
            "documents": {"format": FORMAT, "format_version": FORMAT_VERSION, "schema": SCHEMA},
            **self.order.about,
            "counts": dict(self.counts),
            "files": self.files,
        }

    def _sums(self) -> bytes:
        """As the command `sha256sum --check` reads them."""
        return "".join(f"{file['sha256']}  {file['name']}\n" for file in self.files).encode()


def kept_of(whole: WholePractical) -> KeptFigures | None:
    """The result of the practical that was kept last."""
    if not whole.results:
        return None
    last = whole.results[-1]
    return KeptFigures(last.result, last.analysis_version)


def _table(table: Table, practicals: Iterable[WholePractical]) -> Iterator[bytes]:
    text = CsvText(table)
    yield text.heading()
    for whole in practicals:
        yield text.rows(rows_of(table, whole, kept_of(whole)))


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode()
