"""What a plan gives each bench of the department's kit: its pieces, with their numbers as they were then.

A plan takes the numbers when it is made and when it opens; a run names the pieces that its bench has.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from operator import attrgetter
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.kit.pieces import Figures, Piece, piece_columns, pieces_by_id
from app.records.choices import PieceKind
from app.records.models import BenchKit, Practical, Run
from app.records.models.kit import PIECE_COLUMNS


@dataclass(frozen=True)
class PieceName:
    """A piece as it is told from others."""

    piece_id: int
    label: str


@dataclass(frozen=True)
class BenchKitLine:
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
        return {kind: piece for kind in PieceKind if (piece := getattr(self, kind)) is not None}

    @property
    def piece_ids(self) -> dict[PieceKind, int]:
        """The same by their numbers alone."""
        return {kind: piece.piece_id for kind, piece in self.pieces.items()}


def pieces_named(row: BenchKit | Run) -> dict[PieceKind, int]:
    """The pieces that a row names, by kind."""
    ids = {kind: getattr(row, name) for kind, name in zip(PieceKind, PIECE_COLUMNS, strict=True)}
    return {kind: piece_id for kind, piece_id in ids.items() if piece_id is not None}


NUMBERS = ("tube_length_m", "bore_m", "caps_m", "thermometer_step_K", "ice_point_C")
"""What a bench's kit takes over from its pieces."""


def kit_of_row(row: BenchKit) -> BenchKitLine:
    """The frozen picture of a row."""
    pieces = {kind: piece for kind in PieceKind if (piece := getattr(row, kind)) is not None}
    names = {kind: PieceName(piece.id, piece.label) for kind, piece in pieces.items()}
    return BenchKitLine(row.number, **fields_of(names), **{name: getattr(row, name) for name in NUMBERS})


def row_of_kit(kit: BenchKitLine) -> BenchKit:
    """A new row of it."""
    return BenchKit(
        number=kit.number,
        **{f"{kind}_id": piece_id for kind, piece_id in kit.piece_ids.items()},
        **{name: getattr(kit, name) for name in NUMBERS},
    )


def give_kits(session: Session, practical: Practical, kits: Iterable[BenchKitLine]) -> None:
    """Put these in place of what the plan gave the benches of the kit."""
    practical.bench_kits.clear()
    session.flush()  # the old lines go before new ones of the same benches come
    practical.bench_kits.extend(map(row_of_kit, kits))


def fields_of(names: Mapping[PieceKind, PieceName]) -> dict[str, Any]:
    """The pieces as fields of `BenchKitLine`: a field has the name of its kind."""
    return {kind.value: name for kind, name in names.items()}


def taken_from_kit(
    session: Session, department_id: int, wanted: Iterable[BenchKitLine], before: Iterable[BenchKitLine] = ()
) -> tuple[BenchKitLine, ...]:
    """The kits by bench, with the numbers of their pieces.

    A bench whose pieces are as `before` keeps its numbers as they are. A piece of another department or of
    another kind is left out, and so is one that was retired, unless the bench had it before. A bench without
    a piece has no kit.
    """
    earlier = {kit.number: kit for kit in before}
    wanted = sorted(wanted, key=attrgetter("number"))
    kept = {
        kit.number: earlier[kit.number]
        for kit in wanted
        if kit.number in earlier and kit.piece_ids == earlier[kit.number].piece_ids
    }
    if all(kit.number in kept for kit in wanted):
        return tuple(kept[kit.number] for kit in wanted)
    there = pieces_by_id(session, department_id)
    taken = [kept.get(kit.number) or _with_numbers(kit, there, earlier.get(kit.number)) for kit in wanted]
    return tuple(kit for kit in taken if kit.pieces)


def put_pieces(session: Session, run: Run, bench_number: int) -> None:
    """Let a run name the pieces that its bench has now; it keeps them whatever the plan says later."""
    own = (BenchKit.practical_id == run.practical_id, BenchKit.number == bench_number)
    row = session.execute(select(*piece_columns(BenchKit)).where(*own)).first()
    for name, piece_id in zip(PIECE_COLUMNS, row or (), strict=False):
        setattr(run, name, piece_id)


def _with_numbers(kit: BenchKitLine, there: Mapping[int, Piece], before: BenchKitLine | None) -> BenchKitLine:
    found = {kind: _found(kit, kind, there, before) for kind in PieceKind}
    tube, thermometer = found[PieceKind.TUBE], found[PieceKind.THERMOMETER]
    of_tube = tube.figures if tube else Figures()
    return BenchKitLine(
        kit.number,
        **fields_of({kind: PieceName(piece.piece_id, piece.label) for kind, piece in found.items() if piece}),
        tube_length_m=of_tube.inside_length_m,
        bore_m=of_tube.bore_m,
        caps_m=of_tube.caps_m,
        thermometer_step_K=thermometer.figures.step_K if thermometer else None,
        ice_point_C=thermometer.ice_point_C if thermometer else None,
    )


def _found(
    kit: BenchKitLine, kind: PieceKind, there: Mapping[int, Piece], before: BenchKitLine | None
) -> Piece | None:
    piece = there.get(kit.piece_ids.get(kind, 0))
    if piece is None or piece.kind is not kind:
        return None
    had_before = before is not None and before.piece_ids.get(kind) == piece.piece_id
    return piece if piece.in_use or had_before else None


def refreshed(session: Session, department_id: int, kits: Iterable[BenchKitLine]) -> tuple[BenchKitLine, ...]:
    """The same pieces with their numbers of today: what a practical takes when it opens."""
    kits = tuple(kits)
    if not kits:
        return ()
    there = pieces_by_id(session, department_id)
    return tuple(_with_numbers(kit, there, kit) for kit in kits)
