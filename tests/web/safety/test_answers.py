"""What every answer says to browsers and caches, over http and over https."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.records.engine import Database
from app.settings import Settings
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def served_at(address: str, database: Database, folder: Path) -> Flask:
    environ = {
        "PLUMBFALL_DATA": str(folder),
        "DATABASE_URL": str(database.url),
        "PLUMBFALL_BASE_ADDRESS": address,
    }
    return create_app(Settings.from_environment(environ))


def test_nothing_with_readings_codes_or_tokens_is_kept_by_a_cache(desk: Reader, a_class: AClass) -> None:
    here = a_class.practical_id
    for address in (
        "/",
        "/bench/token",
        f"/desk/{here}/",
        f"/desk/{here}/code.svg",
        f"/desk/{here}/runs.csv",
    ):
        assert desk.get(address).headers["Cache-Control"] == "no-store", address
    for address in (f"/desk/{here}/live", f"/board/{here}/picture"):
        assert desk.get(address).headers["Cache-Control"] == "private, no-cache", address


def test_under_https_cookies_and_browser_insist_on_it(sqlite_database: Database, tmp_path: Path) -> None:
    application = served_at("https://physics.school.example", sqlite_database, tmp_path)
    answer = application.test_client().get("/")
    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000"
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-plumbfall-form=")
    for part in ("Secure", "HttpOnly", "SameSite=Lax", "Path=/"):
        assert part in cookie
    assert "Domain" not in cookie


def test_under_http_no_cookie_is_one_that_a_phone_would_drop(nobody: Reader) -> None:
    answer = nobody.get("/")
    assert "Strict-Transport-Security" not in answer.headers
    assert "Secure" not in answer.headers["Set-Cookie"]
    assert "HttpOnly" in answer.headers["Set-Cookie"]


@pytest.mark.parametrize("page", ["code", "cards", ""])
def test_the_link_for_phones_is_the_configured_one_whatever_the_request_says(
    application: Flask, desk: Reader, a_class: AClass, page: str
) -> None:
    token = desk.client.get_cookie("plumbfall-teacher")
    assert token is not None
    hostile = {
        "Host": "elsewhere.example",
        "X-Forwarded-Host": "elsewhere.example",
        "Cookie": f"plumbfall-teacher={token.value}",
    }
    browser = application.test_client(use_cookies=False)
    answer = browser.get(f"/desk/{a_class.practical_id}/{page}", headers=hostile)
    assert answer.status_code == 200
    assert "elsewhere" not in answer.get_data(as_text=True)
    assert "phones.school.example" in answer.get_data(as_text=True)
