"""Every route says whom it is for, and nobody else gets in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.records.migrate import open_database
from app.settings import Settings
from app.web.audience import AUDIENCES

# Pages that a person may see before saying who they are.
FOR_ANYONE_PREFIXES = ("bench.", "guide.", "health.", "language.", "privacy.", "sign_in.", "static")


@pytest.fixture
def application(tmp_path: Path) -> Iterator[Flask]:
    settings = Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path)})
    open_database(settings.database_url).close()
    application = create_app(settings)
    yield application
    application.extensions["plumbfall_database"].close()


def test_every_route_declares_its_audience(application: Flask) -> None:
    for rule in application.url_map.iter_rules():
        view = application.view_functions[rule.endpoint]
        assert getattr(view, "audience", None) in AUDIENCES, f"{rule.rule} declares no audience"


def test_only_the_doors_are_open_to_anyone(application: Flask) -> None:
    for rule in application.url_map.iter_rules():
        if getattr(application.view_functions[rule.endpoint], "audience", None) == "anyone":
            assert rule.endpoint.startswith(FOR_ANYONE_PREFIXES), rule.rule


def test_a_route_without_an_audience_is_refused(application: Flask) -> None:
    application.add_url_rule("/undeclared", "undeclared", lambda: "secret")
    answer = application.test_client().get("/undeclared")
    assert answer.status_code == 403
    assert b"secret" not in answer.data


def test_a_form_without_its_token_is_refused_in_words(application: Flask) -> None:
    answer = application.test_client().post("/sign-in", data={"login": "a", "password": "b"})
    assert answer.status_code == 400
    assert "Reload it and send again" in answer.get_data(as_text=True)


def test_every_page_forbids_inline_script_and_outside_sources(application: Flask) -> None:
    answer = application.test_client().get("/")
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize("target", ["//evil.example", "https://evil.example", "/\\evil.example", "evil"])
def test_signing_in_never_leads_to_another_site(application: Flask, target: str) -> None:
    page = application.test_client().get("/sign-in", query_string={"then": target}).get_data(as_text=True)
    assert "evil" not in page
