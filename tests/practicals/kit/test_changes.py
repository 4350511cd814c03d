"""What the log says of each change of the kit, and the days that a check can have."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from app.practicals.kit.changes import LabelTaken, add_piece, change_piece, remove_piece, retire_piece
from app.practicals.kit.checks import LONGEST_AHEAD, ImpossibleCheck, checks_of, note_check
from app.practicals.kit.pieces import Figures, NoSuchPiece, one_piece, pieces_of_department
from app.practicals.kit.used import labels_of_pieces
from app.practicals.people.log import log_page
from app.records.choices import LogKind, PieceKind
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_teacher

STEP, TUBE = Figures(step_K=Decimal("0.1")), Figures(inside_length_m=Decimal(1))
TODAY, DAY = NOW.date(), timedelta(days=1)


def test_each_change_is_one_line_of_the_log_and_what_was_so_before_is_none(sqlite_database: Database) -> None:
    head = a_teacher(sqlite_database, "head", is_head=True)
    who: dict[str, Any] = {"actor": head, "now": NOW}
    piece = add_piece(sqlite_database, kind=PieceKind.THERMOMETER, label="7", figures=STEP, **who)
    piece = change_piece(sqlite_database, seen=piece, label="7a", figures=STEP, **who)
    piece = change_piece(sqlite_database, seen=piece, label="7a", figures=Figures(step_K=Decimal(1)), **who)
    assert (piece.label, piece.figures) == ("7a", Figures(step_K=Decimal(1)))
    assert one_piece(sqlite_database, actor=head, piece_id=piece.piece_id) == piece
    about: dict[str, Any] = {"piece_id": piece.piece_id, **who}
    note_check(sqlite_database, checked_on=TODAY, reading=None, due_on=TODAY + DAY, today=TODAY, **about)
    for retired in (True, True, False, False):
        retire_piece(sqlite_database, retired=retired, **about)
    remove_piece(sqlite_database, **about)
    lines = [line for line in log_page(sqlite_database, actor=head).lines if "7" in line.detail]
    assert [(line.kind, line.detail) for line in reversed(lines)] == [
        (LogKind.PIECE_ADDED, "7"),
        (LogKind.PIECE_CHANGED, "7 → 7a"),
        (LogKind.PIECE_CHANGED, "7a"),
        (LogKind.PIECE_CHECKED, "7a"),
        (LogKind.PIECE_RETIRED, "7a"),
        (LogKind.PIECE_IN_USE_AGAIN, "7a"),
        (LogKind.PIECE_DELETED, "7a"),
    ]


def test_a_label_is_the_only_one_of_its_department_in_any_letters(sqlite_database: Database) -> None:
    head = a_teacher(sqlite_database, "head", is_head=True)
    other = a_teacher(sqlite_database, "other", department="Chemistry", is_head=True)
    new: dict[str, Any] = {"kind": PieceKind.TUBE, "figures": TUBE, "now": NOW}
    add_piece(sqlite_database, actor=head, label="T3", **new)
    with pytest.raises(LabelTaken, match="“T3”"):
        add_piece(sqlite_database, actor=head, label="t3", **new)
    assert add_piece(sqlite_database, actor=other, label="t3", **new).label == "t3"


def test_pieces_are_listed_by_kind_and_as_people_count(sqlite_database: Database) -> None:
    head = a_teacher(sqlite_database, "head", is_head=True)
    lot = Figures(material="lead", lot_mass_kg=Decimal(4))
    for kind, label, figures in (
        (PieceKind.LOT, "A1", lot),
        (PieceKind.TUBE, "T10", TUBE),
        (PieceKind.THERMOMETER, "3", STEP),
        (PieceKind.TUBE, "t2", TUBE),
        (PieceKind.TUBE, "B 1", TUBE),
    ):
        add_piece(sqlite_database, actor=head, kind=kind, label=label, figures=figures, now=NOW)
    listed = [piece.label for piece in pieces_of_department(sqlite_database, actor=head)]
    assert listed == ["B 1", "t2", "T10", "3", "A1"]
    assert list(labels_of_pieces(sqlite_database, actor=head).values()) == ["3", "A1", "B 1", "t2", "T10"]


def test_a_check_was_made_by_today_and_the_next_comes_after_it_within_ten_years(
    sqlite_database: Database,
) -> None:
    head = a_teacher(sqlite_database, "head", is_head=True)
    who: dict[str, Any] = {"actor": head, "now": NOW}
    piece = add_piece(sqlite_database, kind=PieceKind.THERMOMETER, label="7", figures=STEP, **who)
    tube = add_piece(sqlite_database, kind=PieceKind.TUBE, label="T3", figures=TUBE, **who)
    about: dict[str, Any] = {"reading": None, "today": TODAY, **who}
    ends = (TODAY + DAY, TODAY + LONGEST_AHEAD)
    for due_on in ends:
        note_check(sqlite_database, piece_id=piece.piece_id, checked_on=TODAY, due_on=due_on, **about)
    days: tuple[tuple[date, date | None, str], ...] = (
        (TODAY, TODAY, "due_on"),
        (TODAY, ends[1] + DAY, "due_on"),
        (TODAY + DAY, ends[1], "checked_on"),
        (TODAY, None, "ice_point"),
    )
    for checked_on, due, field in days:
        with pytest.raises(ImpossibleCheck) as refused:
            note_check(sqlite_database, piece_id=piece.piece_id, checked_on=checked_on, due_on=due, **about)
        assert refused.value.field == field
    with pytest.raises(NoSuchPiece):
        note_check(sqlite_database, piece_id=tube.piece_id, checked_on=TODAY, due_on=ends[0], **about)
    noted = checks_of(sqlite_database, actor=head, piece_id=piece.piece_id)
    assert [check.due_on for check in noted] == [ends[1], ends[0]], "the latest first"
