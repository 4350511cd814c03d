"""A practical's document written, brought in, and taken to another installation."""

from __future__ import annotations

from app.exports.record import exact_json
from app.exports.record.comparing import says_the_same
from app.exports.record.document import document
from app.exports.record.reading import read_document
from app.practicals.bring_in.record import BroughtIn, bring_in
from app.practicals.out.whole import whole_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import Practical
from tests.practicals.a_class import NOW, a_teacher


def written(database: Database, actor: TeacherIdentity, practical_id: int) -> str:
    whole = whole_practical(database, actor=actor, practical_id=practical_id)
    return exact_json.dumps(document(whole, "0.0"))


def bring(database: Database, actor: TeacherIdentity, text: str) -> BroughtIn:
    practical, found = read_document(text.encode())
    return bring_in(
        database,
        actor=actor,
        practical=practical,
        is_the_same=lambda whole: says_the_same(found, whole),
        now=NOW,
    )


def emptied(database: Database) -> TeacherIdentity:
    """Another installation: no row of the first one, and another teacher who has other ids."""
    with database.engine.begin() as connection:
        for table in reversed(Practical.metadata.sorted_tables):
            if table.name not in ("access_mark", "log_entry"):
                connection.execute(table.delete())
    return a_teacher(database, "ms-brandt", department="Science", is_head=True)
