"""The kit in a document, read back: its pieces, what the plan gave each bench of them, what each run had."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from app.exports.record.cells_in import Misfit, items, row, whole_number
from app.physics.limits import MOST_BENCHES
from app.records.choices import PieceKind
from app.records.from_file import Columns, KitInFile, Places
from app.records.models import BenchKit, KitPiece

MADE_WITHOUT: dict[str, Any] = {"pieces": [], "bench_kits": []}
"""What stands for the kit in a document that was made before documents had it."""
MOST_PIECES = (MOST_BENCHES + 1) * len(PieceKind) * 10
"""In one document: each bench with pieces of its own, changed ten times in a lesson (our own choice)."""


def pieces_in(found: Any) -> list[Columns]:
    """The pieces in the order of their keys, which count from 1. No two have the same label."""
    pieces: list[Columns] = []
    for one, where in items(found, "pieces", MOST_PIECES):
        columns, beside = row(KitPiece, one, where, "key", "retired")
        if whole_number(beside["key"], f"{where}.key", 1) != len(pieces) + 1:
            raise Misfit(f"{where}.key")
        if not isinstance(beside["retired"], bool):
            raise Misfit(f"{where}.retired")
        pieces.append(columns)
    if len({columns["label"].casefold() for columns in pieces}) < len(pieces):
        raise Misfit("pieces.label")
    return pieces


def kits_in(found: Any, pieces: Sequence[Columns]) -> list[KitInFile]:
    """What the plan gives the benches."""
    kits = []
    for one, where in items(found, "bench_kits", MOST_BENCHES):
        columns, beside = row(BenchKit, one, where, "pieces")
        kits.append(KitInFile(columns, places_in(beside["pieces"], f"{where}.pieces", pieces)))
    if len({kit.columns["number"] for kit in kits}) < len(kits):
        raise Misfit("bench_kits.number")
    return kits


def places_in(found: Any, where: str, pieces: Sequence[Columns]) -> Places:
    """The places of the pieces that are named by their keys; each is of the kind under which it stands."""
    if not isinstance(found, dict) or not set(found) <= {kind.value for kind in PieceKind}:
        raise Misfit(where)
    places = {kind: whole_number(found[kind], where, 1) - 1 for kind in PieceKind if kind in found}
    if any(place >= len(pieces) or pieces[place]["kind"] != kind for kind, place in places.items()):
        raise Misfit(where)
    return places
