"""What a plan gives one bench of the department's kit, as it leaves a transaction."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from app.records.choices import PieceKind
from app.records.models import BenchKit as BenchKitRow
from app.records.models import KitPiece, Run

SLOTS: dict[PieceKind, str] = {kind: kind.value for kind in PieceKind}
"""The field of `BenchKit` for each kind; the column of its piece is the same with `_id`."""


@dataclass(frozen=True)
class PieceName:
    """A piece as it is told from others."""

    piece_id: int
    label: str


@dataclass(frozen=True)
class BenchKit:
    """A bench's pieces, and their numbers as they were when the plan took them; None: no such piece."""

    number: int
    tube: PieceName | None = None
    thermometer: PieceName | None = None
    balance: PieceName | None = None
    lot: PieceName | None = None
    tube_length_m: Decimal | None = None
    bore_m: Decimal | None = None
    caps_m: Decimal | None = None
    thermometer_step_K: Decimal | None = None
    ice_point_C: Decimal | None = None

    @property
    def pieces(self) -> dict[PieceKind, PieceName]:
        """The pieces that the bench has, in the order in which it needs them."""
        return {kind: piece for kind, slot in SLOTS.items() if (piece := getattr(self, slot)) is not None}


def pieces_named(row: Run) -> dict[PieceKind, int]:
    """The pieces that a run names, by kind."""
    return {
        kind: number for kind, slot in SLOTS.items() if (number := getattr(row, f"{slot}_id")) is not None
    }


NUMBERS = ("tube_length_m", "bore_m", "caps_m", "thermometer_step_K", "ice_point_C")
"""What a bench's kit takes over from its pieces."""


def kit_of_row(row: BenchKitRow) -> BenchKit:
    """The frozen picture of a row."""
    pieces: dict[str, Any] = {slot: _name(getattr(row, slot)) for slot in SLOTS.values()}
    return BenchKit(row.number, **pieces, **{name: getattr(row, name) for name in NUMBERS})


def row_of_kit(kit: BenchKit) -> BenchKitRow:
    """A new row of it."""
    return BenchKitRow(
        number=kit.number,
        **{f"{slot}_id": piece and piece.piece_id for slot, piece in _slots(kit)},
        **{name: getattr(kit, name) for name in NUMBERS},
    )


def _slots(kit: BenchKit) -> list[tuple[str, PieceName | None]]:
    return [(slot, getattr(kit, slot)) for slot in SLOTS.values()]


def _name(piece: KitPiece | None) -> PieceName | None:
    return None if piece is None else PieceName(piece.id, piece.label)
