"""The kit in the tables: each run names its pieces, and each piece stands once beside them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from app.exports.tidy.class_columns import KIT
from app.exports.tidy.columns import RUNS
from app.exports.tidy.tables import Once, rows_of
from app.practicals.out.whole import whole_practical
from app.records.choices import PieceKind
from app.records.engine import Database
from app.records.models import BenchKit, KitCheck, KitPiece, Run
from tests.practicals.a_class import NOW
from tests.practicals.a_full_class import a_full_class


def test_a_run_names_its_pieces_and_each_piece_is_written_once(database: Database) -> None:
    one = a_full_class(database)
    whole = whole_practical(database, actor=one.teacher, practical_id=one.practical_id)
    with database.writing() as session:
        common = {"department_id": one.teacher.department_id, "created_at": NOW}
        tube = KitPiece(kind=PieceKind.TUBE, label="=T1", label_key="=t1", **common)
        tube.inside_length_m, tube.bore_m = Decimal("1.002"), Decimal("0.045")
        tube.caps_m, tube.retired_at = Decimal("0.02"), NOW
        glass = KitPiece(kind=PieceKind.THERMOMETER, label="th 4", label_key="th 4", **common)
        glass.step_K = Decimal("0.1")
        spare = KitPiece(kind=PieceKind.BALANCE, label="B9", label_key="b9", **common)
        spare.step_kg = Decimal("0.001")
        lot = KitPiece(kind=PieceKind.LOT, label="lot 2", label_key="lot 2", **common)
        lot.material, lot.lot_mass_kg = "lead", Decimal("2.50")
        session.add_all([tube, glass, spare, lot])
        session.flush()
        session.add(BenchKit(practical_id=one.practical_id, number=2, thermometer_id=glass.id, lot_id=lot.id))
        told = {"piece_id": glass.id, "teacher_id": one.teacher.teacher_id, "at": NOW}
        session.add(
            KitCheck(checked_on=date(2031, 2, 3), ice_point_text="-0.2", ice_point_C=Decimal("-0.2"), **told)
        )
        session.add(KitCheck(checked_on=date(2031, 2, 4), due_on=date(2032, 2, 3), **told))
        session.get_one(Run, whole.runs[0].id).tube_id = tube.id
    whole = whole_practical(database, actor=one.teacher, practical_id=one.practical_id)
    runs = [dict(zip(RUNS.names, row, strict=True)) for row in rows_of(RUNS, whole, None)]
    assert sorted((run["tube"] or "", run["thermometer"]) for run in runs) == [
        *[("", None)] * 3, ("=T1", None)
    ]  # fmt: skip
    once = Once(KIT)
    pieces = [dict(zip(KIT.names, row, strict=True)) for row in once(rows_of(KIT, whole, None))]
    assert pieces == [
        dict.fromkeys(KIT.names) | row
        for row in (
            {
                "label": "=T1",
                "kind": "tube",
                "inside_length_m": "1.002",
                "bore_m": "0.045",
                "caps_m": "0.02",
                "added_at": NOW.isoformat(),
                "retired_at": NOW.isoformat(),
            },
            {
                "label": "th 4",
                "kind": "thermometer",
                "step_K": "0.1",
                "ice_point_C": "-0.2",
                "checked_on": "2031-02-03",
                "due_on": "2032-02-03",
                "added_at": NOW.isoformat(),
            },
            {
                "label": "lot 2",
                "kind": "lot",
                "material": "lead",
                "lot_mass_kg": "2.5",
                "added_at": NOW.isoformat(),
            },
        )
    ]
    assert list(once(rows_of(KIT, whole, None))) == []
