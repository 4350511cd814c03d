"""What a plan takes from the kit: each bench's pieces with their numbers as they are now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.kit.of_bench import SLOTS, BenchKit, PieceName
from app.practicals.kit.pieces import Figures, Piece, pieces_in
from app.records.choices import PieceKind
from app.records.models import BenchKit as BenchKitRow
from app.records.models import Run


def taken_from_kit(
    session: Session, department_id: int, wanted: Iterable[BenchKit], before: Iterable[BenchKit] = ()
) -> tuple[BenchKit, ...]:
    """The kits by bench, with the numbers of their pieces.

    A bench whose pieces are as `before` keeps its numbers as they are. A piece of another department or of
    another kind is left out, and so is one that was retired, unless the bench had it before. A bench without
    a piece has no kit.
    """
    kept = {kit.number: kit for kit in before}
    wanted = list(wanted)
    if all(_same_pieces(kit, kept.get(kit.number)) for kit in wanted):
        return tuple(kept[kit.number] for kit in sorted(wanted, key=_number))
    there = {piece.piece_id: piece for piece in pieces_in(session, department_id)}
    taken = [
        kept[kit.number]
        if _same_pieces(kit, kept.get(kit.number))
        else _with_numbers(kit, there, kept.get(kit.number))
        for kit in sorted(wanted, key=_number)
    ]
    return tuple(kit for kit in taken if kit.pieces)


def put_pieces(session: Session, run: Run, bench_number: int) -> None:
    """Let a run name the pieces that its bench has now; it keeps them whatever the plan says later."""
    columns = [getattr(BenchKitRow, f"{slot}_id") for slot in SLOTS.values()]
    own = (BenchKitRow.practical_id == run.practical_id, BenchKitRow.number == bench_number)
    row = session.execute(select(*columns).where(*own)).first()
    for column, piece_id in zip(columns, row or (), strict=False):
        setattr(run, column.key, piece_id)


def _with_numbers(kit: BenchKit, there: Mapping[int, Piece], before: BenchKit | None) -> BenchKit:
    found = {kind: _found(kit, kind, there, before) for kind in PieceKind}
    tube, thermometer = found[PieceKind.TUBE], found[PieceKind.THERMOMETER]
    of_tube = tube.figures if tube else Figures()
    names: dict[str, Any] = {
        SLOTS[kind]: PieceName(piece.piece_id, piece.label) for kind, piece in found.items() if piece
    }
    return BenchKit(
        kit.number,
        **names,
        tube_length_m=of_tube.inside_length_m,
        bore_m=of_tube.bore_m,
        caps_m=of_tube.caps_m,
        thermometer_step_K=thermometer.figures.step_K if thermometer else None,
        ice_point_C=thermometer.ice_point_C if thermometer else None,
    )


def _found(
    kit: BenchKit, kind: PieceKind, there: Mapping[int, Piece], before: BenchKit | None
) -> Piece | None:
    name: PieceName | None = getattr(kit, SLOTS[kind])
    piece = None if name is None else there.get(name.piece_id)
    if piece is None or piece.kind is not kind:
        return None
    had = None if before is None else getattr(before, SLOTS[kind])
    return piece if piece.in_use or (had is not None and had.piece_id == piece.piece_id) else None


def _same_pieces(one: BenchKit, other: BenchKit | None) -> bool:
    return other is not None and all(
        (getattr(one, slot) and getattr(one, slot).piece_id)
        == (getattr(other, slot) and getattr(other, slot).piece_id)
        for slot in SLOTS.values()
    )


def refreshed(session: Session, department_id: int, kits: Iterable[BenchKit]) -> tuple[BenchKit, ...]:
    """The same pieces with their numbers of today: what a practical takes when it opens."""
    kits = tuple(kits)
    if not kits:
        return ()
    there = {piece.piece_id: piece for piece in pieces_in(session, department_id)}
    return tuple(_with_numbers(kit, there, kit) for kit in kits)


def _number(kit: BenchKit) -> int:
    return kit.number
