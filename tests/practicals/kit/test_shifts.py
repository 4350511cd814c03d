"""From which runs it is worked out what the pieces of the kit do to results."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import update

from app.analysis.piece_columns import RunWithPieces
from app.practicals.kit import shifts
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from app.records.models import Run
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher, an_entry, new_key
from tests.practicals.a_kit import a_kit, bench_kit


def _opened(database: Database, teacher: TeacherIdentity, *labels: str) -> AClass:
    """A class whose bench 2 has these pieces; its bench 1 has none."""
    kit = a_kit(database, teacher, 1)
    plan = a_plan(
        kits=(bench_kit(kit, 2, *labels),),
        gravity_m_per_s2=Decimal("9.81"),
        thermometer_step_K=Decimal("0.2"),
    )
    planned = plan_practical(database, actor=teacher, plan=plan, now=NOW)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=NOW)
    return AClass(database, teacher, opened)


def test_what_pieces_do_is_told_from_counted_runs_of_the_own_department_that_name_any(
    sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_at: list[tuple[RunWithPieces, ...]] = []
    monkeypatch.setattr(shifts, "_worked_out", looked_at.append)
    monkeypatch.setattr(shifts, "LOOKED_AT", 1)
    own, theirs = a_teacher(sqlite_database, is_head=True), a_teacher(sqlite_database, "x", "Chemistry", True)
    for one in (_opened(sqlite_database, theirs, "1"), a_class := _opened(sqlite_database, own, "T1", "B1")):
        without, bench, ids = one.join(1), one.join(2), list[int]()
        for mass_g, hours in (("340", 0), ("341", 0), ("342", 0), ("too fast", 0), ("343", 1)):
            entry, now = an_entry(mass_g.replace("too fast", "344")), NOW + timedelta(hours=hours)
            run = enter_run(sqlite_database, actor=bench, key=new_key(), entry=entry, now=now)
            ids.append(run.run_id)
        enter_run(sqlite_database, actor=without, key=new_key(), entry=an_entry(), now=NOW)
    later = a_plan(held_on=a_class.practical.plan.held_on + timedelta(days=1))
    plan_practical(sqlite_database, actor=own, plan=later, now=NOW)  # which names no piece and takes no place
    set_aside(sqlite_database, actor=own, run_id=ids[0], reason="spilt", expected_revision=1, now=NOW)
    with sqlite_database.writing() as session:
        session.execute(update(Run).where(Run.id == ids[1]).values(simulated=True))
    corrected = an_entry("350")
    correct_run(
        sqlite_database, actor=own, run_id=ids[2], key=new_key(), entry=corrected, reason="read", now=NOW
    )
    with sqlite_database.reading() as session:
        row = session.get_one(Run, ids[2])
        pieces = tuple((kind, getattr(row, f"{kind}_id")) for kind in ("tube", "balance"))
    shifts.shifts_of_kit(sqlite_database, actor=own)
    shifts.shifts_of_kit(sqlite_database, actor=theirs)
    assert looked_at[0] == tuple(
        RunWithPieces(a_class.practical_id, 2, entry.readings, pieces, "lead", 128.0, 0.2, 9.81)
        for entry in (corrected, an_entry("343"))
    )
    assert {run.thermometer_step_K for run in looked_at[1]} == {0.1}, "of the bench's own thermometer"
