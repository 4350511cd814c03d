"""Handing a lesson over on the page, and what both teachers see of it."""

from __future__ import annotations

import html
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import Cover, Practical
from tests.practicals.a_class import AClass, a_teacher
from tests.web.desk.conftest import Reader


@pytest.fixture
def colleague(sqlite_database: Database) -> TeacherIdentity:
    """Whom it is handed to."""
    return a_teacher(sqlite_database, "mr-ito")


@pytest.fixture
def colleagues_desk(application: Flask, colleague: TeacherIdentity) -> Reader:
    """The colleague's browser."""
    return Reader(application.test_client()).let_in(colleague.login)


def _tomorrow() -> str:
    return (datetime.now(UTC) + timedelta(days=1)).date().isoformat()


def test_a_covered_lesson_stands_on_both_home_pages_until_it_is_ended(
    desk: Reader, colleagues_desk: Reader, colleague: TeacherIdentity, a_class: AClass
) -> None:
    lesson = f"/desk/{a_class.practical_id}"
    assert "Period 4" not in colleagues_desk.text("/desk/")
    form = {"to": str(colleague.teacher_id), "how": "days", "last_day": _tomorrow()}
    assert desk.post(f"{lesson}/hand-over", **form).status_code == 303
    assert "Mr-Ito covers this practical until" in desk.text(f"{lesson}/")
    last = datetime.fromisoformat(_tomorrow())
    assert f"Covered by Mr-Ito until {last.day} {last:%B %Y}" in desk.text("/desk/"), "that day included"
    theirs = colleagues_desk.text("/desk/")
    assert "Period 4" in theirs
    assert "For Mrs-Okafor until" in theirs
    assert colleagues_desk.post(f"{lesson}/conduct/pause").status_code == 302
    page = colleagues_desk.text(f"{lesson}/")
    assert "Delete this practical" not in page
    assert f"{lesson}/hand-over" not in page
    assert colleagues_desk.get(f"{lesson}/hand-over").status_code == 403
    assert colleagues_desk.post(f"{lesson}/delete", title="Period 4").status_code == 403
    assert "End Mr-Ito's cover now" in desk.text(f"{lesson}/")
    assert desk.post(f"{lesson}/hand-over/end").status_code == 303
    assert "The practical is covered by nobody any more." in desk.text(f"{lesson}/")
    assert colleagues_desk.post(f"{lesson}/conduct/resume").status_code == 403
    assert "Period 4" not in colleagues_desk.text("/desk/")
    story = desk.text(f"{lesson}/history")
    assert "Handed over for some days" in story
    assert "to Mr-Ito until" in story
    assert "No longer covered" in story


def test_given_for_good_it_moves_to_the_colleagues_home(
    desk: Reader, colleagues_desk: Reader, colleague: TeacherIdentity, a_class: AClass
) -> None:
    lesson = f"/desk/{a_class.practical_id}"
    assert desk.post(f"{lesson}/hand-over", to=str(colleague.teacher_id), how="good").status_code == 303
    assert "The practical is Mr-Ito's now." in desk.text(f"{lesson}/")
    assert "Period 4" in colleagues_desk.text("/desk/")
    assert "Period 4" not in desk.text("/desk/").split("<main")[1]
    assert "look only" in desk.text(f"{lesson}/")
    with a_class.database.reading() as session:
        assert session.get_one(Practical, a_class.practical_id).teacher_id == colleague.teacher_id
    back = colleagues_desk.post(f"{lesson}/hand-over", to="", how="good", last_day="")
    assert (back.status_code, "Choose a colleague" in back.text) == (422, True), "nobody chosen is nobody"


def test_what_is_wrong_is_said_beside_its_field_and_kept(
    desk: Reader, colleague: TeacherIdentity, a_class: AClass
) -> None:
    address, to = f"/desk/{a_class.practical_id}/hand-over", str(colleague.teacher_id)
    for form, field, said in (
        ({"to": "", "how": "days", "last_day": _tomorrow()}, "to", "Choose a colleague"),
        ({"to": "9" * 30, "how": "good", "last_day": ""}, "to", "Choose a colleague"),
        ({"to": to, "how": "days", "last_day": "tomorrow"}, "last_day", "year-month-day"),
        ({"to": to, "how": "days", "last_day": "2020-01-01"}, "last_day", "That day is over"),
    ):
        answer = desk.post(address, **form)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422, form
        assert said in page.split(f'id="{field}-problem">')[1].split("</p>")[0]
        assert f'value="{form["last_day"]}"' in page
    with a_class.database.reading() as session:
        assert session.query(Cover).count() == 0


def test_a_cover_up_to_the_end_of_time_is_refused_in_words(
    desk: Reader, colleague: TeacherIdentity, a_class: AClass
) -> None:
    form = {"to": str(colleague.teacher_id), "how": "days", "last_day": "9999-12-31"}
    answer = desk.post(f"/desk/{a_class.practical_id}/hand-over", **form)
    assert answer.status_code == 422
    assert "more than a year away" in answer.get_data(as_text=True)
