"""Records that are busy at the moment: the answer says so, and when to try again."""

from __future__ import annotations

import io
from typing import Any

import pytest

from app.records.errors import DatabaseBusy
from app.server_log import logging_to
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def test_whoever_meets_busy_records_is_told_to_try_again_and_the_log_knows(
    desk: Reader, a_class: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(*_args: Any, **_named: Any) -> None:
        raise DatabaseBusy

    monkeypatch.setattr("app.web.board.pages.pause_board", busy)
    lines = io.StringIO()
    with logging_to(lines, "plain"):
        answer = desk.post(f"/board/{a_class.practical_id}/pause", paused="yes")
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "2")
    assert "The records are busy at the moment and nothing was stored." in answer.text
    assert "DatabaseBusy" in lines.getvalue()
