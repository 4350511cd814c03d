"""The cookie of forms, as two servers' clocks sign and read it."""

from __future__ import annotations

import time

import pytest
from flask import Flask
from itsdangerous import TimestampSigner

from tests.web.desk.conftest import application  # noqa: F401 - the fixture
from tests.web.form_token import TOKEN

DAY = 86_400


@pytest.mark.parametrize(("ahead", "status"), [(3, 404), (400 * DAY, 404), (-32 * DAY, 400)])
def test_a_form_signed_by_a_clock_that_is_ahead_is_taken_and_one_of_long_ago_is_not(
    application: Flask,  # noqa: F811 - the fixture
    monkeypatch: pytest.MonkeyPatch,
    ahead: int,
    status: int,
) -> None:
    phone = application.test_client()
    with monkeypatch.context() as other_server:
        other_server.setattr(TimestampSigner, "get_timestamp", lambda _self: int(time.time()) + ahead)
        phone.post("/language", data={"language": "de"})
        found = TOKEN.search(phone.get("/").text)
        with phone.session_transaction() as kept:
            kept.permanent = True
    assert found
    answer = phone.post("/code", data={"code": "AAAAAAA", "csrf_token": found.group(1)})
    assert answer.status_code == status
