"""The department's list of practicals: whose they are, and words that narrow it."""

from __future__ import annotations

import html
import re

from app.practicals.actors import TeacherIdentity
from app.practicals.plan import plan_practical, practical_details
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.web.desk.conftest import Reader


def _rows(page: str) -> list[list[str]]:
    """The text of the cells, row by row."""
    rows = re.findall(r"<tr>(.*?)</tr>", page.split("<tbody>")[1], re.DOTALL)
    cells = [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row, re.DOTALL) for row in rows]
    return [[" ".join(re.sub(r"<[^>]+>", " ", cell).split()) for cell in row] for row in cells]


def test_each_practical_stands_with_its_teacher(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    colleague = a_teacher(sqlite_database, "ms-lund")
    stranger = a_teacher(sqlite_database, "stranger", department="Chemistry")
    for owner, title in ((teacher, "Mine"), (colleague, "Hers"), (stranger, "Elsewhere")):
        plan_practical(sqlite_database, actor=owner, plan=a_plan(title=title), now=NOW)
    listed = {row[0]: row for row in _rows(html.unescape(desk.text("/department/")))}
    assert set(listed) == {"Mine", "Hers"}
    assert "Mrs-Okafor" in listed["Mine"]
    assert "Ms-Lund" in listed["Hers"]
    narrowed = _rows(desk.text("/department/?words=LUND lead"))
    assert [row[0] for row in narrowed] == ["Hers"]


def test_a_practical_names_its_teacher_and_its_department(
    teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    made = plan_practical(sqlite_database, actor=teacher, plan=a_plan(), now=NOW)
    read = practical_details(sqlite_database, actor=teacher, practical_id=made.practical_id)
    assert (read.teacher_name, read.department_name) == ("Mrs-Okafor", "Physics")
