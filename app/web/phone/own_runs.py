"""A bench's run as its page shows it, and the class's result once the teacher shows it to the phones."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from app.analysis.results import ClassValue
from app.physics.asking.run_as_read import Question
from app.physics.energy import apparent_heat_capacity, specific_fall_energy
from app.physics.working import Working
from app.practicals.benches.own_practical import OwnPractical
from app.practicals.lesson.details import TypedNumber
from app.practicals.runs.own_calculation import working_of
from app.practicals.runs.reading import RunDetails
from app.web.phone.fields import FIELDS
from app.web.phone.look import look_at
from app.web.phone.run import typed_from
from app.web.storage import database


@dataclass(frozen=True)
class OwnRun:
    """One run with what follows from it."""

    details: RunDetails
    warming_K: Decimal
    apparent_J_per_kg_K: float | None
    own_text: str
    working: Working | None
    questions: tuple[Question, ...] = ()
    """What its phone could not ask about before it was sent."""


def shown(details: RunDetails, own: OwnPractical) -> OwnRun:
    """Work one run out, and check the bench's own calculation of it."""
    run, gravity = details.entry.readings, float(own.practical.plan.gravity_m_per_s2)
    energy = specific_fall_energy(run.fall_m, run.inversions, gravity)
    warming = details.entry.end_temperature.value - details.entry.start_temperature.value
    mine = details.entry.own_heat_capacity
    return OwnRun(
        details,
        warming,
        apparent_heat_capacity(energy, float(warming)),
        _as_typed(mine),
        working_of(details, own.practical.plan),
        look_at(typed_from(details), FIELDS, own).questions if details in own.unanswered else (),
    )


@dataclass(frozen=True)
class ClassShown:
    """The class's result as far as the teacher has revealed it."""

    value: ClassValue
    accepted_shown: bool


def class_result_for(own: OwnPractical) -> ClassShown | None:
    """The class value, only once the teacher shows it to the phones and the board has reached it."""
    if not own.practical.bench_results_shown:
        return None
    # The analysis brings numpy and scipy with it; most pages of a phone never need them.
    from app.practicals.board.snapshot import class_snapshot  # noqa: PLC0415

    snapshot = class_snapshot(database(), own.practical.practical_id)
    if snapshot.result is None or snapshot.result.class_value is None or not snapshot.board.values_shown:
        return None
    return ClassShown(snapshot.result.class_value, snapshot.board.accepted_shown)


def _as_typed(typed: TypedNumber | None) -> str:
    return "" if typed is None else typed.raw
