"""The pieces of kit that a file names: those of the department with the same label, else retired ones."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.physics import limits
from app.practicals.kit.changes import BadLabel, label_key, tidy_label
from app.practicals.kit.of_bench import NUMBERS, BenchKitLine, PieceName, fields_of
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.log import add_to_log
from app.records.choices import LogKind, PieceKind
from app.records.errors import Unprocessable
from app.records.from_file import Columns, PracticalInFile
from app.records.models import KitPiece
from app.records.models.kit import LONGEST_LABEL, OF_A_KIND
from app.words import N_


class NotAPiece(Unprocessable):
    """Numbers that no piece of its kind can have."""

    sentence = N_(
        "No piece of kit can be as “%(label)s” is in the file. The file was changed after it was written. "
        "Nothing of it was stored."
    )


@dataclass(frozen=True)
class Relabelled:
    """A piece that has another label here, where a piece of another kind has its own."""

    label: str
    here: str


@dataclass(frozen=True)
class PiecesHere:
    """The department's pieces for those of a file, in the file's order."""

    names: Sequence[PieceName]
    relabelled: tuple[Relabelled, ...]


def pieces_here(
    session: Session, actor: TeacherIdentity, pieces: Sequence[Columns], now: datetime
) -> PiecesHere:
    """Find each piece by kind and label, or make it as a retired one with the numbers of the file."""
    for piece in pieces:
        _check(piece)
    rows = session.scalars(select(KitPiece).where(KitPiece.department_id == actor.department_id))
    there = {row.label_key: row for row in rows}
    found = {n: row for n, piece in enumerate(pieces) if (row := _of_its_kind(there, piece, piece["label"]))}
    for n, piece in enumerate(pieces):
        if n in found:
            continue
        taken = {row.id for row in found.values()}
        for label in _labels(piece["label"]):
            row = there.get(label_key(label))
            if row is None:
                row = there[label_key(label)] = _made(session, actor, piece, label, now)
            if row.kind == piece["kind"] and row.id not in taken:
                found[n] = row
                break
    names = [PieceName(found[n].id, found[n].label) for n in range(len(pieces))]
    return PiecesHere(
        names,
        tuple(
            Relabelled(piece["label"], name.label)
            for piece, name in zip(pieces, names, strict=True)
            if label_key(piece["label"]) != label_key(name.label)
        ),
    )


def kits_here(practical: PracticalInFile, names: Sequence[PieceName]) -> tuple[BenchKitLine, ...]:
    """What the plan gives the benches, with the pieces of this department."""
    return tuple(
        BenchKitLine(**kit.columns, **fields_of({kind: names[place] for kind, place in kit.pieces.items()}))
        for kit in practical.kits
    )


def has_possible_numbers(kit: BenchKitLine) -> bool:
    """Whether pieces can have given a bench these numbers."""
    return _are_possible({name: getattr(kit, name) for name in NUMBERS})


def _of_its_kind(there: Mapping[str, KitPiece], piece: Columns, label: str) -> KitPiece | None:
    row = there.get(label_key(label))
    return row if row is not None and row.kind == piece["kind"] else None


def _labels(label: str) -> itertools.chain[str]:
    """The label, then the same with (2), (3) and so on behind it, no longer than a label may be."""
    endings = (f" ({number})" for number in itertools.count(2))
    return itertools.chain([label], (label[: LONGEST_LABEL - len(one)].rstrip() + one for one in endings))


def _made(session: Session, actor: TeacherIdentity, piece: Columns, label: str, now: datetime) -> KitPiece:
    named = {"label": label, "label_key": label_key(label)}
    row = KitPiece(department_id=actor.department_id, created_at=now, retired_at=now, **{**piece, **named})
    session.add(row)
    session.flush()
    add_to_log(session, LogKind.PIECE_ADDED, actor, now, detail=label)
    return row


def _check(piece: Columns) -> None:
    """Refuse what the department's own form would not have taken."""
    kind, label = piece["kind"], piece["label"]
    try:
        is_tidy = tidy_label(label) == label
    except BadLabel:
        is_tidy = False
    of_its_kind = all((piece[column] is not None) == (kind == one) for one, column in OF_A_KIND.items())
    no_more = kind == PieceKind.TUBE or (piece["bore_m"] is None and piece["caps_m"] is None)
    with_metal = (piece["material"] is not None) == (kind == PieceKind.LOT)
    if not (is_tidy and of_its_kind and no_more and with_metal and _are_possible(piece)):
        raise NotAPiece(label=label)


def _are_possible(numbers: Columns) -> bool:
    return not any(
        refuses(value) for name, refuses in _REFUSED.items() if (value := numbers.get(name)) is not None
    )


_REFUSED: Mapping[str, Callable[[Decimal], bool]] = {
    "inside_length_m": limits.LENGTH_M.refuses,
    "tube_length_m": limits.LENGTH_M.refuses,
    "bore_m": lambda value: value not in limits.BORE_M,
    "caps_m": limits.END_ALLOWANCE_M.refuses,
    "step_K": lambda value: value not in limits.THERMOMETER_STEP_K,
    "thermometer_step_K": lambda value: value not in limits.THERMOMETER_STEP_K,
    "step_kg": lambda value: value not in limits.BALANCE_STEP_KG,
    "lot_mass_kg": lambda value: value <= 0 or value not in limits.SHOT_IN_STOCK_KG,
    "ice_point_C": limits.ICE_POINT_C.refuses,
}
"""The numbers of pieces, and those that a bench took from them, as the tables' own rules have them."""
