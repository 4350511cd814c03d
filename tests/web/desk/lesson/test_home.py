"""The desk's first page: the teacher's own practicals, each under how far it is."""

from __future__ import annotations

import re

from flask import Flask

from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, open_practical
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher
from tests.web.desk.conftest import Reader


def _listed(page: str) -> dict[str, list[str]]:
    """The titles under each heading of the page."""
    found: dict[str, list[str]] = {}
    for part in re.split(r"<h2>", page)[1:]:
        heading, rest = part.split("</h2>", 1)
        found[heading] = re.findall(r'class="lesson-title"[^>]*>([^<]*)</a>', rest)
    return found


def test_a_teacher_finds_the_own_practicals_and_no_colleagues(
    application: Flask, desk: Reader, planned: AClass
) -> None:
    colleague = a_teacher(planned.database, "ms-lund")
    plan_practical(planned.database, actor=colleague, plan=a_plan(title="Lund's class"), now=NOW)
    assert _listed(desk.text("/desk/")) == {"Planned": ["Period 4"]}
    theirs = Reader(application.test_client()).let_in(colleague.login)
    assert _listed(theirs.text("/desk/")) == {"Planned": ["Lund's class"]}


def test_practicals_stand_under_how_far_they_are(desk: Reader, planned: AClass) -> None:
    for title, steps in (("Running", 1), ("Done", 2)):
        made = plan_practical(planned.database, actor=planned.teacher, plan=a_plan(title=title), now=NOW)
        for step in (open_practical, finish_practical)[:steps]:
            step(planned.database, actor=planned.teacher, practical_id=made.practical_id, now=NOW)
    assert _listed(desk.text("/desk/")) == {
        "Under way": ["Running"],
        "Planned": ["Period 4"],
        "Finished": ["Done"],
    }
