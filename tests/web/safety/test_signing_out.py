"""Signing out ends the session in the records, so that a copied cookie opens nothing, and on this machine."""

from __future__ import annotations

from datetime import UTC, datetime

from flask import Flask

from app.practicals.people.sessions import teacher_for_token
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def test_signing_out_ends_the_session_for_whoever_has_its_cookie(
    application: Flask, desk: Reader, a_class: AClass
) -> None:
    kept = desk.client.get_cookie("plumbfall-teacher")
    assert kept is not None
    copied = Reader(application.test_client())
    copied.client.set_cookie("plumbfall-teacher", kept.value)
    assert copied.get("/desk/").status_code == 200
    assert desk.post("/sign-out").headers["Location"] == "/sign-in"
    assert teacher_for_token(a_class.database, token=kept.value, now=datetime.now(UTC)) is None
    for address in ("/desk/", f"/desk/{a_class.practical_id}/runs.csv"):
        answer = copied.get(address)
        assert (answer.status_code, (answer.location or "").split("?")[0]) == (302, "/sign-in"), address


def test_signing_out_leaves_no_cookie_on_this_machine(desk: Reader) -> None:
    assert desk.client.get_cookie("plumbfall-teacher") is not None
    desk.post("/sign-out")
    assert desk.client.get_cookie("plumbfall-teacher") is None


def test_signing_out_ends_only_the_session_of_this_browser(application: Flask, desk: Reader) -> None:
    elsewhere = Reader(application.test_client()).sign_in("mrs-okafor")
    desk.post("/sign-out")
    assert elsewhere.get("/desk/").status_code == 200
