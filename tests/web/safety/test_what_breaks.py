"""A failure that nobody foresaw: a page that says whose fault it is, and the whole story in the log."""

from __future__ import annotations

import logging

import pytest
from flask import Flask

from app.practicals.archive import home
from app.web.audience import audience
from app.web.errors import sentence_for
from tests.web.desk.conftest import Reader

SECRET = "disk full of eels"


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> None:
    """The list of practicals cannot be had."""

    def fail(*_: object, **__: object) -> None:
        raise RuntimeError(SECRET)

    monkeypatch.setattr(home, "own_practicals", fail)


@pytest.mark.usefixtures("broken")
def test_what_breaks_unforeseen_is_a_page_with_a_sentence_and_a_way_on(desk: Reader) -> None:
    answer = desk.client.get("/desk/")
    page = answer.get_data(as_text=True)
    assert (answer.status_code, answer.mimetype) == (500, "text/html")
    assert "Something broke in the tool, not in your readings." in page
    assert 'href="/"' in page
    assert SECRET not in page
    assert "Traceback" not in page
    assert answer.headers["Cache-Control"] == "no-store"


@pytest.mark.usefixtures("broken")
def test_a_script_gets_the_same_sentence_as_json(desk: Reader) -> None:
    answer = desk.client.get("/desk/", headers={"X-Plumbfall": "script"})
    assert answer.status_code == 500
    assert answer.json is not None
    assert answer.json["problem"].startswith("Something broke in the tool")


@pytest.mark.usefixtures("broken")
def test_the_log_tells_where_it_broke(desk: Reader, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.ERROR):
        desk.client.get("/desk/")
    (line,) = [one.msg for one in caplog.records if one.levelname == "ERROR"]
    assert isinstance(line, dict)
    assert (line["event"], line["route"], line["exc_info"]) == ("unexpected failure", "/desk/", True)
    assert SECRET not in str(line)


def test_the_page_is_in_the_readers_language(
    application: Flask, desk: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    @audience("anyone")
    def broken() -> str:
        raise RuntimeError(SECRET)

    monkeypatch.setitem(application.view_functions, "bench.entry", broken)
    page = desk.client.get("/", headers={"Accept-Language": "de"}).get_data(as_text=True)
    assert 'lang="de"' in page
    assert "Something broke" not in page


def test_one_failure_does_not_stop_the_next_request(
    application: Flask, desk: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(home, "own_practicals", lambda *_, **__: 1 / 0)
        assert desk.client.get("/desk/").status_code == 500
    assert desk.get("/desk/").status_code == 200


def test_each_status_has_its_own_sentence(application: Flask) -> None:
    begin = {
        403: "You cannot open this page with this sign-in.",
        404: "There is no such page.",
        405: "That cannot be done here.",
        413: "That is far more than a run's readings.",
        500: "That did not work.",
    }
    with application.test_request_context():
        assert [status for status, said in begin.items() if not sentence_for(status).startswith(said)] == []
    stale = application.test_client().post("/code", data={"code": "AAAAAAA"})
    assert (stale.status_code, "This page was open too long" in stale.text) == (400, True)
