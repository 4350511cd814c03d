"""The people whom a file names: accounts of the department where the keys are the same, else names alone.

A name alone is a row that the database itself refuses to let sign in, so that history keeps who it was and no
file gives anybody a way in.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.people.actors import shown_name
from app.practicals.people.removal import NO_PASSWORD
from app.records.choices import Role
from app.records.keys import person_key
from app.records.models import Teacher


def ids_of_people(
    session: Session, department_id: int, people: Mapping[str, str], now: datetime
) -> dict[str, int]:
    """The id of each person of a file, by key; who is not known in the department is added as a name."""
    columns = (Teacher.id, Teacher.created_at, Teacher.brought_in_as)
    known = session.execute(select(*columns).where(Teacher.department_id == department_id))
    ids = {person_key(*row): row.id for row in known}
    for key, name in people.items():
        if key not in ids:
            ids[key] = _named(session, department_id, key, name, now)
    return ids


def _named(session: Session, department_id: int, key: str, name: str, now: datetime) -> int:
    person = Teacher(
        department_id=department_id,
        login=f"file/{department_id}/{key}",
        name=shown_name(name.strip()),
        password_hash=NO_PASSWORD,
        role=Role.TEACHER,
        is_active=False,
        created_at=now,
        brought_in_as=key,
    )
    session.add(person)
    session.flush()
    return person.id
