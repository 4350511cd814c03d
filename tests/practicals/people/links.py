"""What a head and a colleague do with a link, in one go."""

from __future__ import annotations

from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.ways_in import make_password_link, take_new_password
from app.records.engine import Database
from tests.practicals.a_class import NOW


def new_password_by_link(
    database: Database, *, actor: TeacherIdentity, teacher_id: int, password: str
) -> None:
    """The head makes the link, and the colleague types the password behind it."""
    made = make_password_link(database, actor=actor, teacher_id=teacher_id, now=NOW)
    take_new_password(database, token=made.token, password=password, now=NOW)
