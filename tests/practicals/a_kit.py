"""A made-up kit, and classes that use it: a tube that reads high shows over them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import numpy as np

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.reading.ice_point import parse_ice_point
from app.practicals.kit.changes import add_piece
from app.practicals.kit.checks import note_check
from app.practicals.kit.of_bench import BenchKitLine, PieceName
from app.practicals.kit.pieces import Figures, Piece
from app.practicals.lesson.details import BenchPlanLine, PracticalDetails, Typed
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.sending import TypedAtTheDesk, enter_runs
from app.records.choices import PieceKind
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_plan, an_entry, new_key

DAY = date(2031, 3, 6)
MASSES_KG = (Decimal("0.25"), Decimal("0.5"), Decimal("0.8"))


def a_kit(database: Database, keeper: TeacherIdentity, count: int = 8) -> dict[str, Piece]:
    """Tubes T1 to T8, thermometers 1 to 8, balances B1 and B2, and lots of lead and of steel, by label.

    Thermometer 1 showed 0.3 °C in melting ice on the day before the lesson, and is due a year later.
    """
    made: dict[str, Piece] = {}

    def add(kind: PieceKind, label: str, **figures: Decimal | str) -> None:
        numbers = Figures(**figures)  # type: ignore[arg-type]
        made[label] = add_piece(database, actor=keeper, kind=kind, label=label, figures=numbers, now=NOW)

    for number in range(1, count + 1):
        length = Decimal("0.980") + Decimal("0.005") * number
        add(
            PieceKind.TUBE,
            f"T{number}",
            inside_length_m=length,
            bore_m=Decimal("0.05"),
            caps_m=Decimal("0.02"),
        )
        add(PieceKind.THERMOMETER, str(number), step_K=Decimal("0.1"))
    for label in ("B1", "B2"):
        add(PieceKind.BALANCE, label, step_kg=Decimal("0.001"))
    add(PieceKind.LOT, "Pb 1", material="lead", lot_mass_kg=Decimal(4))
    add(PieceKind.LOT, "Fe 1", material="steel", lot_mass_kg=Decimal(3))
    note_check(
        database,
        actor=keeper,
        piece_id=made["1"].piece_id,
        checked_on=DAY - timedelta(days=1),
        reading=parse_ice_point("0.3"),
        due_on=DAY + timedelta(days=364),
        today=DAY,
        now=NOW,
    )
    return made


def bench_kit(kit: Mapping[str, Piece], number: int, *labels: str) -> BenchKitLine:
    """A bench with the pieces of these labels."""
    pieces: dict[str, Any] = {
        kit[label].kind.value: PieceName(kit[label].piece_id, label) for label in labels
    }
    return BenchKitLine(number, **pieces)


def held_with_kit(
    database: Database,
    teacher: TeacherIdentity,
    kit: Mapping[str, Piece],
    *,
    seed: int,
    benches: int = 6,
    percent_of: Mapping[str, float] | None = None,
) -> PracticalDetails:
    """A class with three runs a bench, its tubes and thermometers dealt out by chance.

    `percent_of`: by how many percent a piece, by its label, makes c* too high.
    """
    chance = np.random.default_rng(seed)
    tubes, thermometers = chance.permutation(8)[:benches] + 1, chance.permutation(8)[:benches] + 1
    labels = [(f"T{tube}", str(one), "B1", "Pb 1") for tube, one in zip(tubes, thermometers, strict=True)]
    masses = [MASSES_KG[number % len(MASSES_KG)] for number in range(benches)]
    plan = a_plan(
        title=f"Class {seed}",
        held_on=DAY + timedelta(days=seed),
        planned_benches=benches,
        bench_plans=tuple(BenchPlanLine(number + 1, mass) for number, mass in enumerate(masses)),
        kits=tuple(bench_kit(kit, number, *own) for number, own in enumerate(labels, 1)),
    )
    planned = plan_practical(database, actor=teacher, plan=plan, now=NOW)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=NOW)
    runs = []
    for number, (own, mass) in enumerate(zip(labels, masses, strict=True), 1):
        off = sum((percent_of or {}).get(label, 0.0) for label in own) + chance.normal(0, 1.0)
        for _run in range(3):
            c = (128 + 25 / float(mass)) * np.exp((off + chance.normal(0, 1.0)) / 100)
            end = 19.2 + STANDARD_GRAVITY_M_PER_S2 * 0.95 * 60 / c
            count = Typed("60", Decimal(60), "")
            entry = an_entry(mass_g=str(1000 * mass), end=f"{end:.1f}", inversions=count)
            runs.append(TypedAtTheDesk(number, new_key(), entry))
    enter_runs(database, actor=teacher, practical_id=opened.practical_id, runs=runs, now=NOW)
    return opened
