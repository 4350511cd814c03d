"""The kit of a practical taken out with it and brought in again, with pieces there and without."""

from __future__ import annotations

import json
from copy import deepcopy
from decimal import Decimal
from typing import Any

import jsonschema
import pytest
from sqlalchemy import select

from app.exports.record import exact_json
from app.exports.record.cells_in import DocumentProblem
from app.practicals.bring_in.kit import Relabelled
from app.practicals.bring_in.record import Outcome
from app.practicals.kit.changes import add_piece, retire_piece
from app.practicals.kit.pieces import Figures, pieces_of_department
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.plan import practical_details
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import LogKind, PieceKind, Role
from app.records.engine import Database
from app.records.errors import Problem
from app.records.models import KitPiece, LogEntry, Practical, Run
from tests.exports.record.bringing import bring, emptied, written
from tests.exports.record.test_document import SCHEMA_TEXT
from tests.practicals.a_class import NOW, AClass, a_teacher
from tests.practicals.a_full_class import a_full_class
from tests.practicals.a_kit import a_kit, bench_kit
from tests.practicals.seen import count


def a_class_with_kit(database: Database) -> tuple[AClass, str]:
    """Bench 2 has a piece of each kind, bench 5 a tube and the same thermometer; T4 was retired since."""
    keeper = a_teacher(database, "mx-lind", role=Role.TECHNICIAN)
    there = a_kit(database, keeper)
    kits = (bench_kit(there, 2, "T3", "1", "B1", "Pb 1"), bench_kit(there, 5, "T4", "1"))
    one = a_full_class(database, kits=kits)
    retire_piece(database, actor=keeper, piece_id=there["T4"].piece_id, retired=True, now=NOW)
    return one, written(database, one.teacher, one.practical_id)


def labels_of_runs(database: Database) -> set[tuple[str | None, ...]]:
    """The labels of the pieces that runs name, by kind."""
    with database.reading() as session:
        label = {row.id: row.label for row in session.scalars(select(KitPiece))}
        return {
            tuple(label.get(getattr(run, f"{kind}_id")) for kind in PieceKind)
            for run in session.scalars(select(Run))
        }


def own_piece(
    database: Database, keeper: TeacherIdentity, kind: PieceKind, label: str, number: Decimal
) -> int:
    """A tube of this length or a balance of this step that the department has already."""
    figures = Figures(inside_length_m=number) if kind is PieceKind.TUBE else Figures(step_kg=number)
    return add_piece(database, actor=keeper, kind=kind, label=label, figures=figures, now=NOW).piece_id


def without_kit(found: Any) -> Any:
    """The document as one was made before documents had the kit."""
    older = {name: held for name, held in found.items() if name not in ("pieces", "bench_kits")}
    older = deepcopy(older)
    for bench in older["benches"]:
        for run in bench["runs"]:
            del run["pieces"]
    return older


def test_a_document_has_the_pieces_that_plan_and_runs_name(database: Database) -> None:
    _, text = a_class_with_kit(database)
    found = exact_json.loads(text)
    jsonschema.Draft202012Validator(json.loads(SCHEMA_TEXT)).validate(json.loads(text))
    assert [(one["key"], one["kind"], one["label"], one["retired"]) for one in found["pieces"]] == [
        (1, "tube", "T3", False),
        (2, "thermometer", "1", False),
        (3, "balance", "B1", False),
        (4, "lot", "Pb 1", False),
        (5, "tube", "T4", True),
    ]
    assert str(found["pieces"][0]["inside_length_m"]) == "0.995"
    assert (found["pieces"][3]["material"], found["pieces"][3]["lot_mass_kg"]) == ("lead", 4)
    first, second = found["bench_kits"]
    assert (first["number"], second["number"]) == (2, 5)
    assert first["pieces"] == {"tube": 1, "thermometer": 2, "balance": 3, "lot": 4}
    assert second["pieces"] == {"tube": 5, "thermometer": 2}
    assert (str(first["tube_length_m"]), str(first["ice_point_C"])) == ("0.995", "0.3")
    for bench in found["benches"]:
        for run in bench["runs"]:
            assert run["pieces"] == (first if bench["number"] == 2 else second)["pieces"]


def test_another_installation_has_the_kit_of_the_class_again_as_retired_pieces(database: Database) -> None:
    one, text = a_class_with_kit(database)
    plan = practical_details(database, actor=one.teacher, practical_id=one.practical_id).plan
    head = emptied(database)
    brought = bring(database, head, text)
    assert (brought.outcome, brought.relabelled) == (Outcome.STORED, ())
    first, again = exact_json.loads(text), exact_json.loads(written(database, head, brought.practical_id))
    assert {name for name in first if first[name] != again[name]} == {
        *("department", "people", "history", "pieces")
    }
    assert again["pieces"] == [piece | {"retired": True} for piece in first["pieces"]]
    for name in ("bench_kits", "benches", "bench_plans"):
        assert exact_json.dumps(first[name]) == exact_json.dumps(again[name])
    planned = practical_details(database, actor=head, practical_id=brought.practical_id).plan
    for number in (2, 5):
        assert planned.for_bench(number) == plan.for_bench(number)
    assert labels_of_runs(database) == {("T3", "1", "B1", "Pb 1"), ("T4", "1", None, None)}
    there = pieces_of_department(database, actor=head)
    assert [(piece.label, piece.in_use) for piece in there] == [
        *(("T3", False), ("T4", False), ("1", False), ("B1", False), ("Pb 1", False))
    ]
    assert all(piece.checked_on is None for piece in there), "checks are the department's"
    with database.reading() as session:
        own = (LogEntry.actor_id == head.teacher_id, LogEntry.kind == LogKind.PIECE_ADDED)
        noted = session.scalars(select(LogEntry.detail).where(*own)).all()
    assert sorted(noted) == sorted(piece["label"] for piece in first["pieces"])
    assert bring(database, head, text).outcome is Outcome.HERE_ALREADY
    assert (
        bring(database, head, written(database, head, brought.practical_id)).outcome is Outcome.HERE_ALREADY
    )


def test_a_piece_of_the_same_label_and_kind_is_the_one_and_stays_as_it_is(database: Database) -> None:
    _, text = a_class_with_kit(database)
    head = emptied(database)
    own = own_piece(database, head, PieceKind.TUBE, "t3", Decimal("1.1"))
    brought = bring(database, head, text)
    assert (brought.outcome, brought.relabelled) == (Outcome.STORED, ())
    with database.reading() as session:
        assert session.scalar(select(Run.tube_id).where(Run.tube_id == own).limit(1)) == own
    piece = next(piece for piece in pieces_of_department(database, actor=head) if piece.piece_id == own)
    assert (piece.label, piece.in_use, piece.figures) == ("t3", True, Figures(Decimal("1.1")))
    (taken,) = (
        one
        for one in practical_details(database, actor=head, practical_id=brought.practical_id).plan.kits
        if one.number == 2
    )
    assert (taken.tube_length_m, taken.bore_m) == (Decimal("0.995"), Decimal("0.05")), "as the plan took them"
    assert count(database, KitPiece) == 5
    assert bring(database, head, text).outcome is Outcome.HERE_ALREADY


def test_a_label_that_a_piece_of_another_kind_has_gets_a_number_behind_it(database: Database) -> None:
    _, text = a_class_with_kit(database)
    head = emptied(database)
    own_piece(database, head, PieceKind.BALANCE, "T3", Decimal("0.01"))
    own_piece(database, head, PieceKind.BALANCE, "t3 (2)", Decimal("0.01"))
    brought = bring(database, head, text)
    assert brought.relabelled == (Relabelled("T3", "T3 (3)"),)
    assert labels_of_runs(database) == {("T3 (3)", "1", "B1", "Pb 1"), ("T4", "1", None, None)}
    assert bring(database, head, text).outcome is Outcome.HERE_ALREADY
    pieces = count(database, KitPiece)
    delete_practical(database, actor=head, practical_id=brought.practical_id, now=NOW)
    assert bring(database, head, text).relabelled == (Relabelled("T3", "T3 (3)"),)
    assert count(database, KitPiece) == pieces, "the next file finds it"


def test_two_pieces_of_a_file_never_become_one(sqlite_database: Database) -> None:
    _, text = a_class_with_kit(sqlite_database)
    head = emptied(sqlite_database)
    own_piece(sqlite_database, head, PieceKind.BALANCE, "T3", Decimal("0.01"))
    own_piece(sqlite_database, head, PieceKind.TUBE, "T3 (2)", Decimal(1))
    found = exact_json.loads(text)
    found["pieces"][4]["label"] = "T3 (2)"
    assert bring(sqlite_database, head, exact_json.dumps(found)).relabelled == (Relabelled("T3", "T3 (3)"),)
    long = found | {"pieces": deepcopy(found["pieces"])}
    long["pieces"][1]["label"] = "x" * 24
    own_piece(sqlite_database, head, PieceKind.BALANCE, "X" * 24, Decimal("0.01"))
    with sqlite_database.reading() as session:
        (stored,) = session.scalars(select(Practical.id))
    delete_practical(sqlite_database, actor=head, practical_id=stored, now=NOW)
    told = bring(sqlite_database, head, exact_json.dumps(long)).relabelled
    assert Relabelled("x" * 24, "x" * 20 + " (2)") in told


def test_a_document_that_was_made_without_the_kit_is_still_read(database: Database) -> None:
    one, text = a_class_with_kit(database)
    older = without_kit(exact_json.loads(text))
    jsonschema.Draft202012Validator(json.loads(SCHEMA_TEXT)).validate(json.loads(exact_json.dumps(older)))
    assert bring(database, one.teacher, exact_json.dumps(older)).outcome is Outcome.HERE_ALREADY
    head = emptied(database)
    brought = bring(database, head, exact_json.dumps(older))
    assert brought.outcome is Outcome.STORED
    again = exact_json.loads(written(database, head, brought.practical_id))
    assert (again["pieces"], again["bench_kits"], count(database, KitPiece)) == ([], [], 0)
    assert bring(database, head, text).outcome is Outcome.HERE_OTHERWISE


EDITED: list[tuple[tuple[Any, ...], Any, str]] = [
    (("pieces", 0, "key"), 2, "pieces[0].key"),
    (("pieces", 0, "kind"), "spoon", "pieces[0].kind"),
    (("pieces", 0, "retired"), 1, "pieces[0].retired"),
    (("pieces", 4, "label"), "t3", "pieces.label"),
    (("pieces", 0, "label"), "x" * 25, "pieces[0].label"),
    (("bench_kits", 0, "pieces", "tube"), 6, "bench_kits[0].pieces"),
    (("bench_kits", 0, "pieces", "tube"), 2, "bench_kits[0].pieces"),
    (("bench_kits", 1, "number"), 2, "bench_kits.number"),
    (("benches", 0, "runs", 0, "pieces"), {"spoon": 1}, "runs[0].pieces"),
    (("benches", 0, "runs", 0, "pieces"), None, "runs[0].pieces"),
]
IMPOSSIBLE: list[tuple[tuple[Any, ...], Any, str]] = [
    (("pieces", 0, "inside_length_m"), None, "“T3”"),
    (("pieces", 0, "inside_length_m"), 0, "“T3”"),
    (("pieces", 0, "step_K"), Decimal("0.1"), "“T3”"),
    (("pieces", 0, "bore_m"), Decimal("0.001"), "“T3”"),
    (("pieces", 2, "caps_m"), Decimal("0.01"), "“B1”"),
    (("pieces", 2, "label"), " ", "“ ”"),
    (("pieces", 3, "lot_mass_kg"), 0, "“Pb 1”"),
    (("pieces", 3, "material"), "cheese", "cheese"),
    (("bench_kits", 0, "number"), 0, "kits"),
    (("bench_kits", 0, "bore_m"), 0, "kits"),
    (("bench_kits", 0, "ice_point_C"), 6, "kits"),
    (("bench_kits", 0, "tube_length_m"), Decimal("0.03"), "kits"),
]


def test_a_kit_that_was_edited_is_refused_with_its_place_and_nothing_is_stored(
    sqlite_database: Database,
) -> None:
    _, text = a_class_with_kit(sqlite_database)
    head = emptied(sqlite_database)
    for edits, kind in ((EDITED, DocumentProblem), (IMPOSSIBLE, Problem)):
        for path, value, told in edits:
            found = exact_json.loads(text)
            at = found
            for step in path[:-1]:
                at = at[step]
            at[path[-1]] = value
            with pytest.raises(kind) as problem:
                bring(sqlite_database, head, exact_json.dumps(found))
            assert told in str(problem.value), path
    half = {name: held for name, held in exact_json.loads(text).items() if name != "bench_kits"}
    with pytest.raises(DocumentProblem):
        bring(sqlite_database, head, exact_json.dumps(half))
    assert (count(sqlite_database, Practical), count(sqlite_database, KitPiece)) == (0, 0)
