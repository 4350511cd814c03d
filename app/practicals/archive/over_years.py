"""What a department's practicals found over the years, as it was kept last of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session, undefer

from app.analysis.figure import Figure
from app.practicals.archive.figures import FIGURE_COLUMNS, Figures, figures_in
from app.practicals.archive.search import held_in_year, last_kept, page_within
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PracticalState
from app.records.engine import Database
from app.records.models import KeptResult, Practical
from app.records.models.practical import NEWEST_FIRST

SINKS_POOLED = 40
"""The heat sink is pooled over the newest practicals that tell it: a department's tubes change (our own
choice)."""
_FIGURES = [getattr(KeptResult, name) for name in FIGURE_COLUMNS]
"""Of thousands of results the figures alone: whole rows take twice as long."""
AT_A_GLANCE = 24
"""Practicals on one page of a year (our own choice)."""


@dataclass(frozen=True)
class OfAPractical:
    """One practical's figures, with what a list says of it."""

    practical_id: int
    title: str
    held_on: date
    figures: Figures


@dataclass(frozen=True)
class AtAGlance:
    """The same with the single runs: of each its value in J/(kg·K), None without one, and whether it was set
    aside."""

    of: OfAPractical
    kept_id: int
    runs: tuple[tuple[float | None, bool], ...]


@dataclass(frozen=True)
class YearPage:
    """A page of a school year, the newest first."""

    practicals: tuple[AtAGlance, ...]
    number: int
    pages: int
    found: int


def metals_with_results(database: Database, *, actor: TeacherIdentity) -> dict[str, int]:
    """Of how many finished practicals of each metal a result is kept, the most frequent metal first."""
    kept = select(KeptResult.id).where(KeptResult.practical_id == Practical.id).exists()
    wanted = (
        select(Practical.material, func.count().label("counted"))
        .where(*_finished(actor), kept)
        .group_by(Practical.material)
        .order_by(func.count().desc(), Practical.material)
    )
    with database.reading() as session:
        return {row.material: row.counted for row in session.execute(wanted)}


def results_of_metal(database: Database, *, actor: TeacherIdentity, metal: str) -> tuple[OfAPractical, ...]:
    """All finished practicals of this metal with a result, in the order of time."""
    wanted = (
        select(Practical.id, Practical.title, Practical.held_on, *_FIGURES)
        .join(KeptResult, KeptResult.id == last_kept())
        .where(*_finished(actor), Practical.material == metal)
        .order_by(Practical.held_on, Practical.id)
    )
    with database.reading() as session:
        return tuple(
            OfAPractical(row.id, row.title, row.held_on, figures_in(row)) for row in session.execute(wanted)
        )


def heat_sinks(database: Database, *, actor: TeacherIdentity) -> tuple[Figure, ...]:
    """The heat sinks that the department's newest practicals told apart, whatever their metal."""
    wanted = (
        select(KeptResult)
        .join(Practical, KeptResult.id == last_kept())
        .where(*_finished(actor), KeptResult.heat_sink_J_per_K.is_not(None))
        .order_by(*NEWEST_FIRST)
        .limit(SINKS_POOLED)
    )
    with database.reading() as session:
        found = [figures_in(row).heat_sink for row in session.scalars(wanted)]
    return tuple(sink for sink in found if sink is not None)


def year_at_a_glance(database: Database, *, actor: TeacherIdentity, year: int, page: int = 1) -> YearPage:
    """The finished practicals of a school year that have a result, a page of them with their runs."""
    with database.reading() as session:
        conditions = [*_finished(actor), held_in_year(session, actor.department_id, year)]
        joined = select(func.count()).select_from(Practical).join(KeptResult, KeptResult.id == last_kept())
        found = session.scalar(joined.where(*conditions)) or 0
        number, pages = page_within(found, AT_A_GLANCE, page)
        practicals = _at_a_glance(session, conditions, AT_A_GLANCE, (number - 1) * AT_A_GLANCE)
    return YearPage(practicals, number, pages, found)


def one_at_a_glance(database: Database, *, actor: TeacherIdentity, practical_id: int) -> AtAGlance | None:
    """One finished practical of the department; None where it has no result."""
    with database.reading() as session:
        found = _at_a_glance(session, [*_finished(actor), Practical.id == practical_id], 1, 0)
    return found[0] if found else None


def newest_finished_day(database: Database, *, actor: TeacherIdentity) -> date | None:
    """The day of the newest finished practical."""
    with database.reading() as session:
        return session.scalar(select(func.max(Practical.held_on)).where(*_finished(actor)))


def _finished(actor: TeacherIdentity) -> tuple[ColumnElement[bool], ...]:
    return (
        Practical.department_id == actor.department_id,
        Practical.state == PracticalState.FINISHED,
    )


def _at_a_glance(
    session: Session, conditions: Sequence[ColumnElement[bool]], limit: int, offset: int
) -> tuple[AtAGlance, ...]:
    wanted = (
        select(Practical.id, Practical.title, Practical.held_on, KeptResult)
        .join(KeptResult, KeptResult.id == last_kept())
        .where(*conditions)
        .order_by(*NEWEST_FIRST)
        .limit(limit)
        .offset(offset)
        .options(undefer(KeptResult.result))
    )
    return tuple(
        AtAGlance(OfAPractical(number, title, day, figures_in(row)), row.id, _runs(row.result))
        for number, title, day, row in session.execute(wanted)
    )


def _runs(result: dict[str, Any]) -> tuple[tuple[float | None, bool], ...]:
    return tuple((run["apparent_heat_capacity_J_per_kg_K"], run["set_aside"]) for run in result["runs"])
