"""The department's list of practicals: whose they are, and what narrows it, all in the address."""

from __future__ import annotations

import html
import re

from flask import Flask

from app.analysis.figure import Figure
from app.practicals.lesson.plan import plan_practical, practical_details
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.web.department.archive.filters import words_of
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.archive.stored import stored
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


def test_the_result_that_was_kept_stands_in_the_list_and_nothing_is_analysed_for_it(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    stored(sqlite_database, teacher, Figure(160.0, (150.0, 170.0)), title="Kept")
    stored(sqlite_database, teacher, title="Not kept yet")
    listed = {row[0]: row[-2:] for row in _rows(desk.text("/department/"))}
    assert listed == {"Kept": ["160 (150 … 170)", "+25.0 %"], "Not kept yet": ["", ""]}


def test_a_filtered_list_is_a_link_whose_form_and_pages_keep_what_was_asked(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    for number in range(30):
        stored(sqlite_database, teacher, title=f"lead {number}")
    stored(sqlite_database, teacher, title="other", material="copper")
    page = desk.text(f"/department/?metal=lead&state=finished&year=2030&teacher={teacher.teacher_id}")
    assert "30 practicals of 31" in page
    assert '<option value="lead" selected>' in page
    assert '<option value="2030" selected>2030/31</option>' in page
    folded = [desk.text(f"/department/?{asked}") for asked in ("words=lead", "")]
    assert [re.findall(r"<details( open)?>", one)[0] for one in (page, *folded)] == [" open", "", ""]
    older = re.search(r'rel="next" href="([^"]+)"', page)
    assert older
    assert [row[0] for row in _rows(desk.text(older[1]))] == [f"lead {number}" for number in (4, 3, 2, 1, 0)]


def test_what_cannot_be_used_is_said_and_the_rest_still_narrows(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    stored(sqlite_database, teacher, title="lead one")
    stored(sqlite_database, teacher, title="copper one", material="copper")
    page = desk.text("/department/?metal=lead&from=2031-02-30&year=20x1&state=gone&teacher=99&page=x")
    assert "“2031-02-30” is no day" in page
    assert page.count('class="field-problem"') == 4
    assert [row[0] for row in _rows(page)] == ["lead one"]
    page = desk.text("/department/?from=2031-03-07&to=2031-03-01")
    assert "The last day is before the first one" in page
    page = desk.text("/department/?from=2031-03-06&to=2031-03-06")
    assert (len(_rows(page)), "field-problem" in page) == (2, False), "a day is from itself to itself"
    assert "No practical fits what you asked for" in desk.text("/department/?words=nowhere")


def test_an_empty_department_is_told_what_comes_here(desk: Reader) -> None:
    page = desk.text("/department/")
    assert "The department has no practicals yet" in page
    assert "/desk/new" in page
    assert '<form class="filters"' not in page


def test_a_metal_is_found_by_its_name_in_the_readers_language(application: Flask) -> None:
    for language, word, metals in (
        ("de", "BLEI", {"lead"}),
        ("fr", "plomb", {"lead"}),
        ("es", "hierro", {"iron"}),
        ("de", "lead", {"lead"}),
        ("en", "white", {"tin"}),
        ("en", "ead", set()),
    ):
        with application.test_request_context("/", headers={"Accept-Language": language}):
            (found,) = words_of(word)
        assert found.metals == metals, (language, word)


def test_the_head_says_when_the_school_year_begins_and_a_teacher_cannot(
    desk: Reader, heads_desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    stored(sqlite_database, teacher)
    assert ">2030/31</option>" in heads_desk.text("/department/")
    assert desk.post("/department/school-year", begins_in="2").status_code == 403
    for form in ({"begins_in": "13"}, {"begins_in": "0"}, {}):
        heads_desk.post("/department/school-year", **form)
        assert "That is not in the list" in heads_desk.text("/department/")
    heads_desk.post("/department/school-year", begins_in="2")
    page = heads_desk.text("/department/")
    assert "The school year begins in February from now on." in page
    assert ">2031/32</option>" in page
