"""A teacher changes the password: every sign-in ends, and only the new one opens the desk."""

from __future__ import annotations

from tests.practicals.a_class import PASSWORD, AClass
from tests.web.desk.conftest import Reader

NEW = "lantern gravel otter"


def test_a_new_password_ends_every_sign_in_and_opens_the_desk(
    desk: Reader, nobody: Reader, planned: AClass
) -> None:
    nobody.sign_in(planned.teacher.login)
    assert desk.post("/desk/password", old=PASSWORD, new=NEW, again=NEW).status_code == 302
    assert "The new password is set. Sign in with it." in desk.get("/sign-in").get_data(as_text=True)
    for reader in (desk, nobody):
        assert reader.get("/desk/").status_code == 302, "signed out here too"
    assert nobody.post("/sign-in", login=planned.teacher.login, password=PASSWORD).status_code == 422
    assert nobody.post("/sign-in", login=planned.teacher.login, password=NEW).status_code == 302


def test_a_wrong_short_or_mistyped_password_changes_nothing(desk: Reader, planned: AClass) -> None:
    refused = [
        ({"old": "not this one", "new": NEW, "again": NEW}, "current password is not right"),
        ({"old": PASSWORD, "new": "short", "again": "short"}, "three unrelated words"),
        ({"old": PASSWORD, "new": NEW, "again": NEW + "s"}, "typed differently"),
    ]
    for form, said in refused:
        answer = desk.post("/desk/password", **form)
        assert answer.status_code == 422, form
        assert said in answer.get_data(as_text=True)
    assert desk.get("/desk/").status_code == 200
