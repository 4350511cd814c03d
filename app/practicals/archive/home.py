"""A teacher's own practicals, as the first page of the desk shows them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.practicals.archive.search import Listed, listed
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import OPEN_STATES, PracticalState
from app.records.engine import Database
from app.records.models import Practical

SHOWN = 20
"""The newest practicals of each kind; the department's list has all of them (our own choice)."""
GROUPS = {
    "under-way": frozenset(OPEN_STATES),
    "planned": frozenset({PracticalState.PLANNED}),
    "finished": frozenset({PracticalState.FINISHED}),
}
"""The states that a teacher looks for together, by the name that an address gives them."""


@dataclass(frozen=True)
class Group:
    """The newest practicals of one kind, and how many there are in all."""

    name: str
    lines: tuple[Listed, ...]
    in_all: int


def own_practicals(database: Database, *, actor: TeacherIdentity) -> tuple[Group, ...]:
    """The groups in which the teacher has or covers any, those under way first."""
    with database.reading() as session:
        groups = [_group(session, actor, name, states) for name, states in GROUPS.items()]
    return tuple(group for group in groups if group.lines)


def _group(session: Session, actor: TeacherIdentity, name: str, states: frozenset[PracticalState]) -> Group:
    theirs = or_(Practical.teacher_id == actor.teacher_id, Practical.id.in_(actor.covers))
    conditions = [theirs, Practical.state.in_(sorted(states))]
    lines = listed(session, conditions, limit=SHOWN)
    if len(lines) < SHOWN:
        return Group(name, lines, len(lines))
    in_all = session.scalar(select(func.count()).select_from(Practical).where(*conditions)) or 0
    return Group(name, lines, in_all)
