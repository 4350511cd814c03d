"""The documents of a package, read one after the other; nothing of it is ever written to a disk.

A package is a ZIP file that may come from anywhere: names that lead out of it, sizes that it only claims, and
sums that are not those of its manifest are answered in words. Only the documents are read.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import IO
from zipfile import BadZipFile, ZipFile, ZipInfo

from app.exports.record.cells_in import DocumentProblem
from app.exports.record.reading import LARGEST_DOCUMENT
from app.words import N_

MANIFEST, PACKAGE_FORMAT, PACKAGE_VERSION = "manifest.json", "plumbfall-package", 1
FOLDER = "practicals/"
MOST_FILES = 25_000
"""In one package, documents and reports of twelve thousand practicals (our own choice)."""
LARGEST_TOGETHER = 256 * 1024 * 1024
"""Bytes of all documents of one package, unpacked: a thousand large ones (our own choice)."""
IS_ZIP = b"PK"
"""How a ZIP file begins (PKWARE's APPNOTE, 4.3.6: PK, then the kind of its first record)."""
_ENCRYPTED = 0x1
"""Bit 0 of the general purpose flag (APPNOTE, 4.4.4)."""
_CANNOT_BE_READ = (BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError, zlib.error)
"""What `zipfile` raises for a file that is cut, damaged, locked or packed in a way that it does not know."""


@dataclass(frozen=True)
class InPackage:
    """One document of a package: its name, and its bytes or why they cannot be had."""

    name: str
    data: bytes | DocumentProblem


def documents_in(file: IO[bytes]) -> Iterator[InPackage]:
    """The documents in the order of the manifest. Raises `DocumentProblem` where it is no package at all."""
    try:
        package = ZipFile(file)
        infos = _infos(package)
        manifest = _manifest(package, infos)
    except _CANNOT_BE_READ as error:
        raise _as_document_problem(error) from error
    left = LARGEST_TOGETHER
    for name, digest in manifest.items():
        data = _document(package, infos.get(name), name, digest, left)
        if isinstance(data, bytes):
            left -= len(data)
        yield InPackage(name, data)


def _as_document_problem(error: Exception) -> DocumentProblem:
    """What to say of anything that `zipfile` raises; a problem of ours as it is."""
    if isinstance(error, DocumentProblem):
        return error
    return DocumentProblem(
        N_("The ZIP file is damaged or not whole. Nothing was stored. Take it away again, and bring that in.")
    )


def _infos(package: ZipFile) -> Mapping[str, ZipInfo]:
    """The files by name. Raises `DocumentProblem` where a name leads out of the package."""
    infos = package.infolist()
    if len(infos) > MOST_FILES:
        raise DocumentProblem(
            N_("The ZIP file holds %(count)s files, and at most %(most)s are read. Bring it in by parts."),
            count=str(len(infos)),
            most=str(MOST_FILES),
        )
    for info in infos:
        parts = info.filename.replace("\\", "/").split("/")
        if ".." in parts or info.filename.startswith(("/", "\\")) or ":" in parts[0]:
            raise DocumentProblem(
                N_("The ZIP file holds “%(typed)s”, a name that leads out of it. Nothing of it was read."),
                typed=info.filename[:60],
            )
    found = {info.filename: info for info in infos}
    if len(found) < len(infos):
        raise DocumentProblem(N_("The ZIP file holds two files of one name. Nothing of it was read."))
    return found


def _manifest(package: ZipFile, infos: Mapping[str, ZipInfo]) -> dict[str, str]:
    """The sums of the documents, by name."""
    if MANIFEST not in infos:
        raise DocumentProblem(
            N_(
                "The ZIP file has no manifest.json, so it is no package of practicals. A single document "
                "(JSON) can be brought in by itself."
            )
        )
    try:
        found = json.loads(_bytes_of(package, infos[MANIFEST], LARGEST_DOCUMENT))
        version = found["format_version"] if found["format"] == PACKAGE_FORMAT else None
        if not isinstance(version, int):
            raise TypeError
        if version > PACKAGE_VERSION:
            raise DocumentProblem(
                N_(
                    "The package has form %(found)s, and this program reads up to form %(known)s. Bring the "
                    "program up to date, then bring the file in again. Nothing was stored."
                ),
                found=str(version)[:20],
                known=str(PACKAGE_VERSION),
            )
        sums = {str(one["name"]): str(one["sha256"]) for one in found["files"]}
    except (KeyError, TypeError, RecursionError, json.JSONDecodeError, UnicodeDecodeError):
        raise DocumentProblem(
            N_("The package's manifest.json was changed after it was written. Nothing was stored.")
        ) from None
    documents = {name: sums[name] for name in sums if _is_document(name)}
    unknown = [name for name in infos if _is_document(name) and name not in documents]
    if unknown:
        raise DocumentProblem(
            N_("The package's manifest does not name %(typed)s. It was put in later. Nothing was stored."),
            typed=unknown[0][:60],
        )
    if not documents:
        raise DocumentProblem(
            N_("The package holds no documents of practicals. Take it away again, with documents in it.")
        )
    return documents


def _is_document(name: str) -> bool:
    return name.startswith(FOLDER) and name.endswith(".json")


def _document(
    package: ZipFile, info: ZipInfo | None, name: str, digest: str, left: int
) -> bytes | DocumentProblem:
    if info is None:
        return DocumentProblem(N_("The manifest names it, but the package does not hold it."))
    try:
        data = _bytes_of(package, info, min(LARGEST_DOCUMENT, left))
    except _CANNOT_BE_READ as error:
        return _as_document_problem(error)
    if hashlib.sha256(data).hexdigest() != digest:
        return DocumentProblem(
            N_(
                "Its sum (SHA-256) is not the one in the manifest: it was changed after it was written. "
                "Nothing of it was stored."
            )
        )
    return data


def _bytes_of(package: ZipFile, info: ZipInfo, most: int) -> bytes:
    """A file's bytes, no more of them than `most`, whatever size it claims."""
    if info.flag_bits & _ENCRYPTED:
        raise DocumentProblem(N_("The ZIP file is locked with a password. Bring it in without one."))
    if info.file_size > most:
        raise _too_large()
    with package.open(info) as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise _too_large()
    return data


def _too_large() -> DocumentProblem:
    return DocumentProblem(
        N_(
            "Unpacked, it is larger than any document (%(one)s MB), or than all together may be (%(all)s "
            "MB). Nothing of it was stored."
        ),
        one=str(LARGEST_DOCUMENT // 1024**2),
        all=str(LARGEST_TOGETHER // 1024**2),
    )
