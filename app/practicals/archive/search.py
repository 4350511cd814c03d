"""The department's list of practicals: filtered, ordered and cut into pages by the database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session

from app.practicals.archive.figures import Figures, figures_in
from app.practicals.archive.school_year import days_of, school_year
from app.practicals.kit.used import labels_in, names_piece
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PracticalState
from app.records.engine import Database
from app.records.models import Bench, Department, KeptResult, Practical, Teacher
from app.records.models.practical import NEWEST_FIRST

A_PAGE = 25
"""Practicals on one page of the list (our own choice)."""


@dataclass(frozen=True)
class Word:
    """A word that is looked for in titles and teachers' names; `metals` are those that are called so."""

    text: str
    metals: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Filters:
    """What narrows the list; empty ones let everything through."""

    words: tuple[Word, ...] = ()
    first_day: date | None = None
    last_day: date | None = None
    year: int | None = None
    metal: str | None = None
    teacher_id: int | None = None
    states: frozenset[PracticalState] = frozenset()
    piece_id: int | None = None
    """A piece of the department's kit that the plan or a run names."""


@dataclass(frozen=True)
class Listed:
    """One practical of the list. `figures` are those of its result as it was kept last."""

    practical_id: int
    title: str
    held_on: date
    teacher_name: str
    material: str
    state: PracticalState
    is_demo: bool
    planned_benches: int
    delete_after: date | None
    figures: Figures | None
    in_rehearsal: bool


@dataclass(frozen=True)
class Page:
    """One page of the list: `number` from 1; `found` is how many the filters let through, of `all_there`."""

    lines: tuple[Listed, ...]
    number: int
    pages: int
    found: int
    all_there: int


@dataclass(frozen=True)
class Choices:
    """What the department can be filtered by: school years, the latest first, teachers who have any, and the
    pieces of its kit."""

    begins_in: int
    years: tuple[int, ...] = ()
    teachers: tuple[tuple[int, str], ...] = ()
    pieces: tuple[tuple[int, str], ...] = ()


def find(database: Database, *, actor: TeacherIdentity, filters: Filters, page: int = 1) -> Page:
    """A page of the practicals of the teacher's department that pass the filters, the newest first.

    A page beyond the last is the last.
    """
    with database.reading() as session:
        of_department = Practical.department_id == actor.department_id
        all_there = _count(session, of_department)
        conditions = [of_department, *conditions_of(session, actor, filters)]
        found = all_there if len(conditions) == 1 else _count(session, *conditions)
        number, pages = page_within(found, A_PAGE, page)
        lines = listed(session, conditions, limit=A_PAGE, offset=(number - 1) * A_PAGE)
        return Page(lines, number, pages, found, all_there)


def page_within(found: int, a_page: int, asked: int) -> tuple[int, int]:
    """The number of the page that is shown where one is asked for, and how many there are."""
    pages = max(1, -(-found // a_page))
    return min(max(1, asked), pages), pages


def choices(database: Database, *, actor: TeacherIdentity) -> Choices:
    """The school years and the teachers that the department has practicals of."""
    of_department = Practical.department_id == actor.department_id
    with database.reading() as session:
        begins_in = year_begins_in(session, actor.department_id)
        first, last = session.execute(
            select(func.min(Practical.held_on), func.max(Practical.held_on)).where(of_department)
        ).one()
        years = range(0)
        if first and last:
            years = range(school_year(last, begins_in), school_year(first, begins_in) - 1, -1)
        own = select(Practical.id).where(Practical.teacher_id == Teacher.id, of_department)
        teachers = session.execute(
            select(Teacher.id, Teacher.name)
            .where(Teacher.department_id == actor.department_id, own.exists())
            .order_by(Teacher.name, Teacher.id)
        )
        return Choices(
            begins_in,
            tuple(years),
            tuple((row.id, row.name) for row in teachers),
            labels_in(session, actor.department_id),
        )


def year_begins_in(session: Session, department_id: int) -> int:
    """The month with which the department's school year begins."""
    return session.get_one(Department, department_id).year_begins_in


def held_in_year(session: Session, department_id: int, year: int) -> ColumnElement[bool]:
    """Whether a practical's lesson was in this school year of the department."""
    return Practical.held_on.between(*days_of(year, year_begins_in(session, department_id)))


def listed(
    session: Session, conditions: Sequence[ColumnElement[bool]], *, limit: int, offset: int = 0
) -> tuple[Listed, ...]:
    """These practicals, the newest first, with their result as it was kept last."""
    wanted = (
        select(Practical.id).where(*conditions).order_by(*NEWEST_FIRST).limit(limit).offset(offset).subquery()
    )
    simulated = select(Bench.id).where(Bench.practical_id == Practical.id, Bench.simulated).exists()
    rows = session.execute(
        select(Practical, Teacher.name, KeptResult, simulated)
        .join(wanted, wanted.c.id == Practical.id)
        .join(Teacher, Teacher.id == Practical.teacher_id)
        .outerjoin(KeptResult, KeptResult.id == last_kept())
        .order_by(*NEWEST_FIRST)
    )
    return tuple(
        Listed(
            practical_id=row.id,
            title=row.title,
            held_on=row.held_on,
            teacher_name=teacher,
            material=row.material,
            state=row.state,
            is_demo=row.is_demo,
            planned_benches=row.planned_benches,
            delete_after=row.delete_after,
            figures=None if kept is None else figures_in(kept),
            in_rehearsal=in_rehearsal,
        )
        for row, teacher, kept, in_rehearsal in rows
    )


def last_kept() -> ColumnElement[int | None]:
    """The number of the result of a practical that was kept last."""
    last = select(func.max(KeptResult.id)).where(KeptResult.practical_id == Practical.id)
    return last.correlate(Practical).scalar_subquery()


def _count(session: Session, *conditions: ColumnElement[bool]) -> int:
    return session.scalar(select(func.count()).select_from(Practical).where(*conditions)) or 0


def conditions_of(session: Session, actor: TeacherIdentity, filters: Filters) -> list[ColumnElement[bool]]:
    """What a practical has to fulfil to pass the filters."""
    found: list[ColumnElement[bool]] = [_names_word(word) for word in filters.words]
    first, last = filters.first_day, filters.last_day
    if first is not None:
        found.append(Practical.held_on >= first)
    if last is not None:
        found.append(Practical.held_on <= last)
    if filters.year is not None:
        found.append(held_in_year(session, actor.department_id, filters.year))
    if filters.metal is not None:
        found.append(Practical.material == filters.metal)
    if filters.teacher_id is not None:
        found.append(Practical.teacher_id == filters.teacher_id)
    if filters.states:
        found.append(Practical.state.in_(sorted(filters.states)))
    if filters.piece_id is not None:
        found.append(names_piece(filters.piece_id))
    return found


def _names_word(word: Word) -> ColumnElement[bool]:
    """Whether the word stands in the title or the teacher's name, or is one of the metal."""
    text = word.text.lower()
    named = select(Teacher.id).where(
        Teacher.id == Practical.teacher_id, func.lower(Teacher.name).contains(text, autoescape=True)
    )
    ways = [func.lower(Practical.title).contains(text, autoescape=True), named.exists()]
    if word.metals:
        ways.append(Practical.material.in_(sorted(word.metals)))
    return or_(*ways)
