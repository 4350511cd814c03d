"""What is kept about a person, on its page and as a file; and the head's form that removes the person."""

from __future__ import annotations

from app.practicals.people.actors import TeacherIdentity
from tests.web.desk.conftest import Reader


def test_a_teacher_reads_and_takes_away_what_is_kept_and_the_head_removes_the_person(
    heads_desk: Reader, desk: Reader, teacher: TeacherIdentity, the_head: TeacherIdentity
) -> None:
    place = f"/department/people/{teacher.teacher_id}"
    assert "What is kept about" in desk.text(place)
    assert "Remove for good" not in desk.text(place)
    file = desk.get(f"{place}/kept.json")
    assert file.json is not None
    assert file.json["teacher"][0]["login"] == teacher.login
    assert "attachment" in file.headers["Content-Disposition"]
    assert desk.get(f"/department/people/{the_head.teacher_id}").status_code == 403
    assert desk.post(f"{place}/remove", login=teacher.login).status_code == 403
    assert "Remove for good" not in heads_desk.text(f"/department/people/{the_head.teacher_id}")
    wrong = heads_desk.post(f"{place}/remove", login="who?")
    assert wrong.status_code == 422
    assert 'value="who?"' in wrong.text
    assert heads_desk.post(f"{place}/remove", login=teacher.login).status_code == 303
    assert desk.get(place).status_code == 302, "signed out at once"
    assert "a former teacher" in heads_desk.text("/department/teachers")
    assert "Remove for good" not in heads_desk.text(place)
