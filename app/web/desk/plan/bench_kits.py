"""Which pieces of the department's kit each bench has, as a teacher picks them on the plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.practicals.kit.of_bench import BenchKitLine, PieceName
from app.practicals.kit.pieces import Piece
from app.practicals.lesson.details import Plan
from app.records.choices import PieceKind
from app.web.forms import TypedForm
from app.web.kit_words import KINDS, piece_figures
from app.words import Message

SHARED = (PieceKind.BALANCE, PieceKind.LOT)
"""Kinds of which several benches take one piece."""


def field_of(kind: PieceKind, number: int) -> str:
    """The name of a bench's field for a kind."""
    return f"piece_{kind.value}_{number}"


@dataclass(frozen=True)
class KindOffered:
    """One column of the picks: the pieces that a bench may have."""

    kind: PieceKind
    name: Message
    options: tuple[tuple[str, str], ...]


@dataclass
class KitPicks(TypedForm):
    """The picked pieces by bench, as their numbers."""

    benches: tuple[int, ...] = ()

    def kits(self) -> tuple[BenchKitLine, ...]:
        """The picks as the plan takes them; the use case refuses what is no piece of the department."""
        return tuple(
            BenchKitLine(
                number,
                tube=self._picked(PieceKind.TUBE, number),
                thermometer=self._picked(PieceKind.THERMOMETER, number),
                balance=self._picked(PieceKind.BALANCE, number),
                lot=self._picked(PieceKind.LOT, number),
            )
            for number in self.benches
        )

    def fill(self, pieces: Sequence[Piece], material: str) -> None:
        """Give the benches that have none the pieces that are free, in order; balances and lots go round, and
        only lots of the lesson's metal."""
        for kind in PieceKind:
            of_kind = [piece for piece in pieces if piece.kind is kind and piece.in_use]
            if kind is PieceKind.LOT:
                of_kind = [piece for piece in of_kind if piece.figures.material == material]
            names = [field_of(kind, number) for number in self.benches]
            taken = {self.typed[name] for name in names}
            free = [number for piece in of_kind if (number := str(piece.piece_id)) not in taken]
            empty = [name for name in names if not self.typed[name]]
            if kind in SHARED:
                free = [str(piece.piece_id) for piece in of_kind] * (len(empty) if of_kind else 0)
            for name, number in zip(empty, free, strict=False):
                self.typed[name] = number

    def _picked(self, kind: PieceKind, number: int) -> PieceName | None:
        text = self.typed[field_of(kind, number)]
        return PieceName(int(text), "") if text.isdecimal() and len(text) < 10 else None


def picks_of(plan: Plan, sent: Mapping[str, str] | None = None) -> KitPicks:
    """What is stored, or what was sent in its place. A page without the picks sends none of them."""
    benches = tuple(range(1, plan.planned_benches + 1))
    stored = {
        field_of(kind, number): str(piece.piece_id) if (piece := plan.kit_of(number).pieces.get(kind)) else ""
        for number in benches
        for kind in PieceKind
    }
    picks = KitPicks.of(stored if sent is None else sent, stored, stored, longest=10)
    picks.benches = benches
    return picks


def offered(pieces: Sequence[Piece], plan: Plan) -> list[KindOffered]:
    """The columns for the kinds that there are: pieces in use, and those that the plan has already."""
    had = {name.piece_id for kit in plan.kits for name in kit.pieces.values()}
    found = []
    for kind, name in KINDS.items():
        own = [piece for piece in pieces if piece.kind is kind and (piece.in_use or piece.piece_id in had)]
        if own:
            options = [(str(piece.piece_id), f"{piece.label} ({piece_figures(piece)})") for piece in own]
            found.append(KindOffered(kind, name, (("", "–"), *options)))
    return found
