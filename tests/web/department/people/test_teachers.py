"""The head's page of teachers, as a browser meets it."""

from __future__ import annotations

import re

from app.practicals.bring_in.people import ids_of_people
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from tests.practicals.a_class import NOW, PASSWORD
from tests.web.desk.conftest import Reader

PAGE = "/department/teachers"


def test_a_teacher_who_is_switched_off_is_out_at_once(
    heads_desk: Reader, desk: Reader, teacher: TeacherIdentity
) -> None:
    switch = f"{PAGE}/{teacher.teacher_id}/switch"
    assert desk.get("/desk/").status_code == 200
    assert heads_desk.post(switch, active="no").status_code == 303
    assert "is signed out everywhere and cannot sign in" in heads_desk.text(PAGE)
    assert desk.get("/desk/").status_code == 302
    assert desk.post("/sign-in", login=teacher.login, password=PASSWORD).status_code == 422
    heads_desk.post(switch, active="yes")
    assert "can sign in again" in heads_desk.text(PAGE)
    assert desk.post("/sign-in", login=teacher.login, password=PASSWORD).status_code == 302


def test_the_only_head_is_not_switched_off(heads_desk: Reader, the_head: TeacherIdentity) -> None:
    answer = heads_desk.post(f"{PAGE}/{the_head.teacher_id}/switch", active="no")
    assert answer.status_code == 409
    assert "only head of the department" in answer.get_data(as_text=True)
    assert heads_desk.get(PAGE).status_code == 200


def _roles(reader: Reader) -> list[str]:
    """The chosen role of everybody on the page, by name."""
    page = reader.text(PAGE).split("<tbody>")[1].split("</tbody>")[0]
    return re.findall(r" selected>([^<]+)<", page)[::-1]


def test_head_is_given_and_taken_on_the_page(
    heads_desk: Reader, desk: Reader, teacher: TeacherIdentity, the_head: TeacherIdentity
) -> None:
    about = f"{PAGE}/{teacher.teacher_id}/role"
    assert desk.get(PAGE).status_code == 403
    assert _roles(heads_desk) == ["teacher", "head of department"]
    answer = heads_desk.post(about, role="head")
    assert (answer.status_code, answer.headers["Location"]) == (303, PAGE)
    assert "Mrs-Okafor: head of department" in heads_desk.text(PAGE)
    assert _roles(heads_desk) == ["head of department", "head of department"]
    assert desk.get(PAGE).status_code == 200, "at once, without signing in again"
    assert desk.post(f"{PAGE}/{the_head.teacher_id}/role", role="teacher").status_code == 303
    assert heads_desk.get(PAGE).status_code == 403
    last = desk.post(about, role="teacher")
    assert last.status_code == 409
    assert "only head of the department" in last.get_data(as_text=True)
    assert desk.get(PAGE).status_code == 200


def test_a_head_who_steps_back_is_led_to_a_page_that_is_still_open(
    heads_desk: Reader, teacher: TeacherIdentity, the_head: TeacherIdentity
) -> None:
    heads_desk.post(f"{PAGE}/{teacher.teacher_id}/role", role="head")
    answer = heads_desk.post(f"{PAGE}/{the_head.teacher_id}/role", role="teacher")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/department/")
    assert "Mr-Ito: teacher" in heads_desk.text("/department/")


def test_a_role_that_there_is_not_changes_nothing(heads_desk: Reader, teacher: TeacherIdentity) -> None:
    for form in ({}, {"role": ""}, {"role": "caretaker"}):
        assert heads_desk.post(f"{PAGE}/{teacher.teacher_id}/role", **form).status_code == 422
    assert _roles(heads_desk) == ["teacher", "head of department"]


def test_a_teacher_who_is_not_head_finds_no_such_page_and_no_link_to_it(
    desk: Reader, nobody: Reader, the_head: TeacherIdentity
) -> None:
    assert PAGE not in desk.text("/department/")
    assert desk.get(PAGE).status_code == 403
    assert nobody.sign_in(the_head.login).get(PAGE).status_code == 200


def test_a_form_without_its_token_changes_nothing(heads_desk: Reader, teacher: TeacherIdentity) -> None:
    about = f"{PAGE}/{teacher.teacher_id}"
    for address in (f"{PAGE}/invite", f"{about}/switch", f"{about}/role", f"{about}/password-link"):
        form = {"name": "Mrs New", "active": "no", "role": "head"}
        assert heads_desk.client.post(address, data=form).status_code == 400
    assert "switched off" not in heads_desk.text(PAGE).split("<p class")[0]
    assert _roles(heads_desk) == ["teacher", "head of department"]


def test_a_name_from_a_file_is_shown_as_one_and_never_signs_in(
    heads_desk: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        number = ids_of_people(session, the_head.department_id, {"abc": "Mr Ito"}, NOW)["abc"]
    page = heads_desk.text(PAGE)
    assert "a name from a file" in page
    assert "file/" not in page
    assert f"{PAGE}/{number}/switch" not in page
    answer = heads_desk.post(f"{PAGE}/{number}/switch", active="yes")
    assert answer.status_code == 409
    assert "Invite the person" in answer.get_data(as_text=True)


def test_every_page_of_the_department_leads_to_the_others(heads_desk: Reader) -> None:
    there = ("", "years/", "export", "bring-in", "keeping", "teachers", "deleted", "log")
    for page in there:
        tabs = heads_desk.text(f"/department/{page}").split('<nav class="tabs')[1].split("</nav>")[0]
        assert tabs.count("aria-current") == 1, page
        leads_to = {*re.findall(r'href="([^"?]+)"', tabs)}
        assert leads_to == {f"/department/{name}" for name in (*there, "year/")}, page


def test_a_refused_teacher_is_led_back_to_the_own_practicals(desk: Reader) -> None:
    answer = desk.get(PAGE)
    assert answer.status_code == 403
    assert 'href="/desk/"' in answer.get_data(as_text=True)
