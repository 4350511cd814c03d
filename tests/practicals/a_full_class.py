"""A class with everything that an export has to carry: corrections, decisions, odd texts, a held wall."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from app.practicals.board.reveal import pause_board
from app.practicals.lesson.details import BenchPlanLine, Typed
from app.practicals.runs.decisions import count_again, set_aside
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key

FORMULA = "=HYPERLINK(A1)"
"""What a spreadsheet would take for a formula (OWASP, "CSV Injection")."""


def a_full_class(database: Database, **plan: object) -> AClass:
    """Two benches, one of them planned; four runs, two of them corrected; three decisions."""
    wanted: dict[str, object] = {
        "title": f"{FORMULA} Year 10",
        "accepted_source": "@SUM(1) handbook",
        "accepted_temperature_C": Decimal("25.0"),
        "u_gravity_m_per_s2": Decimal("0.0005"),
        "room_temperature_C": Decimal("20.5"),
        "own_questions": {"spread": "+1 and why?"},
        "bench_plans": (BenchPlanLine(2, shot_mass_kg=Decimal("0.3400"), ice_point_C=Decimal("-0.30")),),
    }
    one = a_collecting_class(database, **(wanted | plan))
    first, second = one.join(2), one.join(5)
    cold = an_entry(start="-9.81", end="-7.70", room_temperature=Typed(" 68.5", Decimal("20.28"), "°F"))
    runs = [
        enter_run(database, actor=bench, key=new_key(), entry=entry, now=NOW).run_id
        for bench, entry in (
            (second, an_entry()),
            (first, cold),
            (first, an_entry("341")),
            (second, an_entry("339.50")),
        )
    ]
    correct_run(
        database, actor=second, run_id=runs[0], key=new_key(), entry=an_entry("350"), reason="=1+1", now=NOW
    )
    own = an_entry("341", own_heat_capacity=Typed("-130.0", Decimal("-130.0"), "J/(kg·K)"))
    correct_run(
        database,
        actor=first,
        run_id=runs[2],
        key=new_key(),
        entry=own,
        reason="",
        now=NOW,
        own_calculation=True,
    )
    decided: dict[str, Any] = {"actor": one.teacher, "run_id": runs[3], "now": NOW}
    set_aside(database, reason="-2+3 dropped", expected_revision=1, **decided)
    count_again(database, reason="@A1: it was\r\nanother bench", expected_revision=2, **decided)
    pause_board(database, actor=one.teacher, practical_id=one.practical_id, paused=True, now=NOW)
    set_aside(database, actor=one.teacher, run_id=runs[0], reason="\t=2+5", expected_revision=2, now=NOW)
    return one
