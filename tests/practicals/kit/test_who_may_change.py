"""The technician and the head change the kit; a teacher reads it."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from app.practicals.kit.changes import add_piece, change_piece, remove_piece, retire_piece
from app.practicals.kit.checks import note_check
from app.practicals.kit.pieces import Figures, NotYourKit, Piece, pieces_of_department
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PieceKind
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_teacher

OTHER = Figures(step_K=Decimal("0.2"))
Change = Callable[[Database, TeacherIdentity, Piece], object]
CHANGES: dict[str, Change] = {
    "added": lambda database, who, _piece: add_piece(
        database, actor=who, kind=PieceKind.THERMOMETER, label="8", figures=OTHER, now=NOW
    ),
    "changed": lambda database, who, piece: change_piece(
        database, actor=who, seen=piece, label="8", figures=OTHER, now=NOW
    ),
    "retired": lambda database, who, piece: retire_piece(
        database, actor=who, piece_id=piece.piece_id, retired=True, now=NOW
    ),
    "removed": lambda database, who, piece: remove_piece(
        database, actor=who, piece_id=piece.piece_id, now=NOW
    ),
    "checked": lambda database, who, piece: note_check(
        database,
        actor=who,
        piece_id=piece.piece_id,
        checked_on=NOW.date(),
        reading=None,
        due_on=NOW.date().replace(year=NOW.year + 1),
        today=NOW.date(),
        now=NOW,
    ),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_teacher_changes_nothing_of_the_kit(database: Database, change: Change) -> None:
    head = a_teacher(database, "head", is_head=True)
    figures = Figures(step_K=Decimal("0.1"))
    piece = add_piece(database, actor=head, kind=PieceKind.THERMOMETER, label="7", figures=figures, now=NOW)
    teacher = a_teacher(database)
    with pytest.raises(NotYourKit):
        change(database, teacher, piece)
    assert pieces_of_department(database, actor=teacher) == [piece]
    change(database, head, piece)
    assert pieces_of_department(database, actor=teacher) != [piece]
