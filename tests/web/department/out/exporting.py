"""What the tests of exports share: a department with two classes, and a package as it is taken."""

from __future__ import annotations

import csv
import io
import zipfile

from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_plan, an_entry, new_key
from tests.web.desk.conftest import Reader

TOKEN = "page-of-the-test-0001"
ADDRESS = "/department/export/plumbfall.zip"


def another_class(database: Database, teacher: TeacherIdentity, title: str) -> AClass:
    """A class of the teacher that is collecting, with one run."""
    planned = plan_practical(database, actor=teacher, plan=a_plan(title=title), now=NOW)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=NOW)
    one = AClass(database, teacher, opened)
    enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    return one


def taken(reader: Reader, query: str = "") -> zipfile.ZipFile:
    """The package that these words of the address ask for."""
    answer = reader.get(f"{ADDRESS}{query}")
    assert answer.status_code == 200
    assert answer.mimetype == "application/zip"
    return zipfile.ZipFile(io.BytesIO(answer.data))


def table(package: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    """A table of a package."""
    text = package.read(f"{name}.csv").decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))
