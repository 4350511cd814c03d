"""The delete-after day is the school's, and the head sees what went."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from app import create_app
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, open_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.settings import Settings
from tests.practicals.a_class import NOW, a_plan
from tests.practicals.seen import practicals_of_department
from tests.web.desk.conftest import Reader

DAY = date(2031, 3, 6)


@pytest.mark.parametrize(
    ("zone", "still_there", "gone"),
    [
        # Pacific standard time, UTC−8, until 9 March 2031; New Zealand's daylight time, UTC+13 (IANA).
        ("America/Los_Angeles", "2031-03-07T07:59:00+00:00", "2031-03-07T08:01:00+00:00"),
        ("Pacific/Auckland", "2031-03-06T10:59:00+00:00", "2031-03-06T11:01:00+00:00"),
    ],
)
def test_a_practical_lasts_to_the_end_of_its_day_at_the_school(
    sqlite_database: Database,
    teacher: TeacherIdentity,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    zone: str,
    still_there: str,
    gone: str,
) -> None:
    environ = {
        "PLUMBFALL_DATA": str(tmp_path),
        "DATABASE_URL": str(sqlite_database.url),
        "PLUMBFALL_TIME_ZONE": zone,
    }
    school = create_app(Settings.from_environment(environ))
    plan = a_plan(delete_after=DAY)
    made = plan_practical(sqlite_database, actor=teacher, plan=plan, now=NOW)
    step: dict[str, Any] = {"actor": teacher, "practical_id": made.practical_id, "now": NOW}
    open_practical(sqlite_database, **step)
    finish_practical(sqlite_database, **step)
    for moment, left in ((still_there, 1), (gone, 0)):
        monkeypatch.setattr(
            "app.web.department.people.sign_in.now", lambda moment=moment: datetime.fromisoformat(moment)
        )
        Reader(school.test_client()).sign_in(teacher.login)
        assert len(practicals_of_department(sqlite_database, actor=teacher)) == left, moment
    school.extensions["plumbfall_database"].close()


def test_a_teachers_deletion_stands_on_the_heads_page(
    heads_desk: Reader, desk: Reader, sqlite_database: Database, teacher: TeacherIdentity
) -> None:
    made = plan_practical(sqlite_database, actor=teacher, plan=a_plan(title="Year 9, set 2"), now=NOW)
    assert "Nothing was deleted yet" in heads_desk.text("/department/deleted")
    answer = desk.post(f"/desk/{made.practical_id}/delete", title="year 9, set 2")
    assert answer.status_code == 302
    assert "/department/deleted" in heads_desk.text("/department/")
    page = heads_desk.text("/department/deleted")
    row = page.split("<tbody>")[1].split("</tbody>")[0]
    assert "Year 9, set 2" in row
    assert "6 March 2031" in row
    assert row.count(teacher.name) == 2, "whose it was, and who deleted it"
    assert "/department/deleted" not in desk.text("/department/")
    assert desk.get("/department/deleted").status_code == 403


def test_an_open_class_past_its_day_is_said_to_be_on_the_teachers_list(
    desk: Reader, sqlite_database: Database, teacher: TeacherIdentity
) -> None:
    plan = a_plan(held_on=date(2020, 1, 1), delete_after=date(2020, 1, 2))
    made = plan_practical(sqlite_database, actor=teacher, plan=plan, now=NOW)
    open_practical(sqlite_database, actor=teacher, practical_id=made.practical_id, now=NOW)
    assert "it goes once it is finished" in desk.text("/desk/")
