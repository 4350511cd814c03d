"""Planning a practical: making it, changing it, copying it for the next class."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy.orm import Session

from app.physics.limits import (
    ICE_POINT_C,
    MOST_BENCHES,
    MOST_INVERSIONS,
    MOST_RUNS_OF_A_BENCH,
    can_be_stored,
)
from app.practicals.kit.of_bench import give_kits, row_of_kit, taken_from_kit
from app.practicals.lesson.details import (
    PLAN_COLUMNS,
    WITHOUT_FIGURES,
    BenchPlanLine,
    Plan,
    PracticalDetails,
    details_of,
)
from app.practicals.lesson.permission import (
    note_change,
    practical_to_run,
    practical_to_see,
    raise_revision,
)
from app.practicals.lesson.wifi import usual_wifi
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import BoardStep, GravityHow, HistoryKind, PracticalState
from app.records.constraints import BENCH_NUMBER, BENCH_TWICE
from app.records.engine import Database
from app.records.errors import Conflict, FieldProblem
from app.records.models import BenchPlan, Practical
from app.records.models.practical import LONGEST_QUESTION, LONGEST_SOURCE, LONGEST_TITLE
from app.words import N_

OF_ITS_OWN_DAY = ("title", "held_on", "delete_after", "room_temperature")
"""The texts of a plan's form that a copy for another class does not take over."""

QUESTION_TOO_LONG = N_(
    "A question for the class has at most %(most)s characters, so that it is read from the back row."
    " Shorten it."
)


class PlanProblem(FieldProblem):
    """A plan that no class could carry out."""


class PlanChangedMeanwhile(Conflict):
    """Someone else changed the plan after this page was loaded."""

    sentence = N_("Something changed in this practical after the page was loaded. Look again, then save.")


def plan_practical(
    database: Database, *, actor: TeacherIdentity, plan: Plan, now: datetime
) -> PracticalDetails:
    """Make a practical in the state `planned`."""
    check_plan(plan)
    with database.writing() as session:
        return details_of(add_planned(session, actor, plan, now))


def add_planned(session: Session, actor: TeacherIdentity, plan: Plan, now: datetime) -> Practical:
    """The row of a practical in the state `planned`, with the first line of its history."""
    plan = replace(plan, kits=taken_from_kit(session, actor.department_id, plan.kits))
    check_kits(plan)
    practical = Practical(
        department_id=actor.department_id,
        teacher_id=actor.teacher_id,
        state=PracticalState.PLANNED,
        created_at=now,
        revision=0,  # the first line of its history makes it 1
        presence=1,
        wifi_name=usual_wifi(session, actor),
        board_step=BoardStep.REPORTED,
        board_paused=False,
        bench_results_shown=True,
        is_demo=False,
        bench_plans=_rows(plan),
        bench_kits=[row_of_kit(kit) for kit in plan.kits],
        **_columns(plan),
    )
    session.add(practical)
    session.flush()
    note_change(session, practical, HistoryKind.PLANNED, actor, now)
    return practical


def change_plan(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    plan: Plan,
    now: datetime,
    expected_revision: int | None = None,
) -> PracticalDetails:
    """Replace the plan; what changed is kept in the history."""
    check_plan(plan)
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if expected_revision is not None and practical.revision != expected_revision:
            raise PlanChangedMeanwhile()
        before = details_of(practical).plan
        plan = replace(plan, kits=taken_from_kit(session, actor.department_id, plan.kits, before.kits))
        check_kits(plan)
        for name, value in _columns(plan).items():
            setattr(practical, name, value)
        practical.bench_plans.clear()
        give_kits(session, practical, plan.kits)  # its flush deletes the old bench plans too
        practical.bench_plans.extend(_rows(plan))
        if changes := _differences(before, plan):
            note_change(session, practical, HistoryKind.PLAN_CHANGED, actor, now, changes)
        else:
            raise_revision(practical)
        session.flush()
        return details_of(practical)


def copy_practical(
    database: Database, *, actor: TeacherIdentity, practical_id: int, title: str, held_on: date, now: datetime
) -> PracticalDetails:
    """A new practical with the same plan, for the next class.

    Nothing measured is copied: the room temperature is that of the other day, and is asked for at opening.
    """
    with database.reading() as session:
        plan = details_of(practical_to_see(session, actor, practical_id)).plan
    typed = {name: text for name, text in plan.typed.items() if name not in OF_ITS_OWN_DAY}
    copied = replace(
        plan, title=title, held_on=held_on, delete_after=None, room_temperature_C=None, typed=typed
    )
    return plan_practical(database, actor=actor, plan=copied, now=now)


def practical_details(database: Database, *, actor: TeacherIdentity, practical_id: int) -> PracticalDetails:
    """One practical, for any teacher of its department."""
    with database.reading() as session:
        return details_of(practical_to_see(session, actor, practical_id))


def check_plan(plan: Plan) -> None:
    """Refuse what no class could carry out, naming the field."""
    _check_words(plan)
    for name in PLAN_COLUMNS:
        if not _is_possible(getattr(plan, name)):
            raise PlanProblem(name, N_("That number is far outside anything a class can use."))
    for name in ("accepted_J_per_kg_K", "gravity_m_per_s2", "tube_length_m", "thermometer_step_K"):
        if not getattr(plan, name) > 0:
            raise PlanProblem(name, N_("This must be more than zero."))
    for name in ("end_allowance_m", "length_sd_m", "reading_sd_K", "u_gravity_m_per_s2", "heat_sink_J_per_K"):
        if (getattr(plan, name) or 0) < 0:
            raise PlanProblem(name, N_("This cannot be less than zero."))
    if plan.end_allowance_m >= plan.tube_length_m:
        raise PlanProblem(
            "end_allowance_m",
            N_("The end allowance takes the whole tube: nothing is left to fall. Check both lengths."),
        )
    if not 1 <= plan.inversions <= MOST_INVERSIONS:
        raise PlanProblem(
            "inversions",
            N_("The number of inversions must be between 1 and %(most)s."),
            most=MOST_INVERSIONS,
        )
    if not 1 <= plan.planned_benches <= MOST_BENCHES:
        raise PlanProblem("planned_benches", N_("The number of benches must be between 1 and 99."))
    if plan.gravity_how not in tuple(GravityHow):
        raise PlanProblem("gravity_how", N_("Say how g was obtained: typed, from latitude, or standard."))
    seen: set[int] = set()
    for line in plan.bench_plans:
        _check_line(line, plan, seen)


def _is_possible(value: object) -> bool:
    return not isinstance(value, Decimal) or can_be_stored(value)


def _check_words(plan: Plan) -> None:
    if not plan.title.strip() or len(plan.title) > LONGEST_TITLE:
        raise PlanProblem("title", N_("Give the practical a title of up to 120 characters."))
    if not plan.accepted_source.strip() or len(plan.accepted_source) > LONGEST_SOURCE:
        raise PlanProblem(
            "accepted_source",
            N_("Say where the accepted value comes from, in up to 400 characters."),
        )
    if plan.delete_after is not None and plan.delete_after < plan.held_on:
        raise PlanProblem(
            "delete_after", N_("The delete-after day is before the lesson. Choose a later day.")
        )
    for step, question in plan.own_questions.items():
        if step not in tuple(BoardStep) or not question or len(question) > LONGEST_QUESTION:
            raise PlanProblem("own_questions", QUESTION_TOO_LONG, most=LONGEST_QUESTION)


def _check_line(line: BenchPlanLine, plan: Plan, seen: set[int]) -> None:
    if not 1 <= line.number <= MOST_BENCHES:
        raise PlanProblem("bench_plans", BENCH_NUMBER)
    if line.number in seen:
        raise PlanProblem("bench_plans", BENCH_TWICE)
    seen.add(line.number)
    if not all(_is_possible(value) for value in line.__dict__.values()):
        raise _impossible_line(line)
    length = plan.tube_length_m if line.tube_length_m is None else line.tube_length_m
    allowance = plan.end_allowance_m if line.end_allowance_m is None else line.end_allowance_m
    mass = Decimal(1) if line.shot_mass_kg is None else line.shot_mass_kg
    inversions = 1 if line.inversions is None else line.inversions
    second = 1 if line.second_inversions is None else line.second_inversions
    runs = 1 if line.runs is None else line.runs
    if (
        mass <= 0
        or (line.thermometer_step_K is not None and line.thermometer_step_K <= 0)
        or (line.ice_point_C is not None and ICE_POINT_C.refuses(line.ice_point_C))
        or not 0 <= allowance < length
        or not 1 <= inversions <= MOST_INVERSIONS
        or not 1 <= second <= MOST_INVERSIONS
        or not 1 <= runs <= MOST_RUNS_OF_A_BENCH
    ):
        raise _impossible_line(line)


def check_kits(plan: Plan) -> None:
    """Refuse a tube in which nothing would fall with what caps and settled shot take."""
    for kit in plan.kits:
        if not 1 <= kit.number <= MOST_BENCHES:
            raise PlanProblem("kits", BENCH_NUMBER)
        line = plan.for_bench(kit.number)
        if line.end_allowance_m is not None and line.end_allowance_m >= (line.tube_length_m or 0):
            raise PlanProblem(
                "kits",
                N_(
                    "In tube %(tube)s nothing would fall at bench %(bench)s: caps and settled shot take all"
                    " of it. Choose a longer tube, or less shot."
                ),
                tube=kit.tube.label if kit.tube else "–",
                bench=kit.number,
            )


def _impossible_line(line: BenchPlanLine) -> PlanProblem:
    sentence = N_("The plan for bench %(bench)s cannot be carried out. Check its figures.")
    return PlanProblem("bench_plans", sentence, bench=line.number)


def _columns(plan: Plan) -> dict[str, Any]:
    """The plan as columns of its practical."""
    return {name: getattr(plan, name) for name in PLAN_COLUMNS} | {
        "own_questions": dict(plan.own_questions) or None,
        "typed": dict(plan.typed),
    }


def _rows(plan: Plan) -> list[BenchPlan]:
    return [BenchPlan(**line.__dict__) for line in plan.bench_plans]


def _differences(before: Plan, after: Plan) -> str:
    changed = [
        f"{name}: {getattr(before, name)} → {getattr(after, name)}"
        for name in PLAN_COLUMNS
        if getattr(before, name) != getattr(after, name)
    ]
    changed += [name for name in WITHOUT_FIGURES if getattr(before, name) != getattr(after, name)]
    return "; ".join(changed)
