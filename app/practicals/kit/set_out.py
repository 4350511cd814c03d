"""What the technician sets out for one lesson or for a day: pieces, masses, and the checks that are due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sqlalchemy import select

from app.physics.materials import MATERIALS, Material
from app.practicals.kit.of_bench import BenchKitLine
from app.practicals.kit.pieces import Piece, pieces_by_id
from app.practicals.lesson.details import BenchPlanLine, PracticalDetails, details_of
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PieceKind, PracticalState
from app.records.engine import Database
from app.records.models import Practical


@dataclass(frozen=True)
class BenchSetOut:
    """One bench: its pieces and its line of the plan, filled up from the class's own numbers."""

    number: int
    kit: BenchKitLine
    line: BenchPlanLine


@dataclass(frozen=True)
class LotNeeded:
    """How much shot a lesson takes from a lot; no piece: the plan names none. `benches` have a mass each."""

    piece: Piece | None
    mass_kg: Decimal
    benches: int
    without_mass: int

    @property
    def is_short(self) -> bool:
        """Whether the lot holds less."""
        held = None if self.piece is None else self.piece.figures.lot_mass_kg
        return held is not None and self.mass_kg > held


@dataclass(frozen=True)
class LessonSetOut:
    """One lesson."""

    practical: PracticalDetails
    material: Material | None
    benches: tuple[BenchSetOut, ...]
    lots: tuple[LotNeeded, ...]
    shared: tuple[tuple[Piece, tuple[int, ...]], ...]
    """Tubes and thermometers that several benches are to have, with those benches."""
    other_metal: tuple[Piece, ...]
    """Lots whose metal is not that of the lesson."""


@dataclass(frozen=True)
class SetOut:
    """All that is set out together."""

    day: date
    lessons: tuple[LessonSetOut, ...]
    pieces: tuple[Piece, ...]
    due: tuple[Piece, ...]
    """Thermometers of these lessons that should be checked first."""

    @property
    def materials(self) -> tuple[Material, ...]:
        """The metals in use."""
        return tuple({one.material.key: one.material for one in self.lessons if one.material}.values())


def set_out(
    database: Database, *, actor: TeacherIdentity, day: date, practical_id: int | None = None
) -> SetOut:
    """The lessons of the department on that day, or the one that is asked for; finished ones are over."""
    wanted = select(Practical).where(Practical.department_id == actor.department_id)
    if practical_id is None:
        wanted = wanted.where(Practical.held_on == day, Practical.state != PracticalState.FINISHED)
    else:
        wanted = wanted.where(Practical.id == practical_id)
    with database.reading() as session:
        practicals = [details_of(row) for row in session.scalars(wanted.order_by(Practical.id))]
        there = pieces_by_id(session, actor.department_id)
    lessons = tuple(_lesson(one, there) for one in practicals)
    named = {name.piece_id for one in lessons for bench in one.benches for name in bench.kit.pieces.values()}
    pieces = tuple(piece for piece in there.values() if piece.piece_id in named)
    day = practicals[0].plan.held_on if practical_id is not None and practicals else day
    return SetOut(day, lessons, pieces, tuple(piece for piece in pieces if piece.is_due(day)))


def _lesson(practical: PracticalDetails, there: dict[int, Piece]) -> LessonSetOut:
    plan = practical.plan
    benches = tuple(
        BenchSetOut(number, plan.kit_of(number), plan.for_bench(number))
        for number in range(1, plan.planned_benches + 1)
    )
    lots = _lots(benches, there)
    return LessonSetOut(
        practical,
        MATERIALS.get(plan.material),
        benches,
        lots,
        _shared(benches, there),
        tuple(lot.piece for lot in lots if lot.piece and lot.piece.figures.material != plan.material),
    )


def _lots(benches: Sequence[BenchSetOut], there: dict[int, Piece]) -> tuple[LotNeeded, ...]:
    found = []
    for lot_id in dict.fromkeys(bench.kit.lot.piece_id if bench.kit.lot else None for bench in benches):
        own = [bench for bench in benches if (bench.kit.lot.piece_id if bench.kit.lot else None) == lot_id]
        masses = [bench.line.shot_mass_kg for bench in own if bench.line.shot_mass_kg is not None]
        piece = None if lot_id is None else there[lot_id]
        found.append(LotNeeded(piece, sum(masses, Decimal(0)), len(masses), len(own) - len(masses)))
    return tuple(found)


def _shared(
    benches: Sequence[BenchSetOut], there: dict[int, Piece]
) -> tuple[tuple[Piece, tuple[int, ...]], ...]:
    having: dict[int, list[int]] = {}
    for bench in benches:
        for kind, name in bench.kit.pieces.items():
            if kind in (PieceKind.TUBE, PieceKind.THERMOMETER):
                having.setdefault(name.piece_id, []).append(bench.number)
    return tuple((there[piece], tuple(numbers)) for piece, numbers in having.items() if len(numbers) > 1)
