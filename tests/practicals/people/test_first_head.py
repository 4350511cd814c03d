"""The first head of all is made once, by whoever reads the code off the server's console."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from app.practicals.people.credentials import digest
from app.practicals.people.first_head import HeadThere, make_first_head, nobody_yet
from app.practicals.people.log import log_page
from app.practicals.people.teachers import SignInRefused, TeacherProblem
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.models import FailedAttempt
from tests.practicals.a_class import NOW, PASSWORD
from tests.practicals.seen import count

GIVEN: dict[str, Any] = {"login": "Head", "name": "Ms Wu", "department": " Physics ", "password": PASSWORD}


def test_the_console_s_code_makes_one_head_and_wrong_ones_are_slowed(database: Database) -> None:
    def make(code: str, expected: str | None = digest("ABCDEFGH"), seconds: int = 0, **given: Any) -> Any:
        now = NOW + timedelta(seconds=seconds)
        return make_first_head(database, code=code, expected_digest=expected, now=now, **GIVEN | given)

    assert nobody_yet(database)
    with pytest.raises(TeacherProblem, match="not the code that the server printed") as refused:
        make("ABCDEFGH", expected=None)
    assert refused.value.field == "code"
    for _ in range(4):
        with pytest.raises(TeacherProblem, match="not the code"):
            make("ABCDEFGX")
    with pytest.raises(SignInRefused, match="Wait 3 s"):
        make("ABCDEFGH")
    with pytest.raises(TeacherProblem, match="characters"):
        make("ABCDEFGH", seconds=3, password="short")
    assert nobody_yet(database), "nothing was founded"
    head = make(" abcd-efgh ", seconds=3)
    assert (head.login, head.name, head.is_head) == ("head", "Ms Wu", True)
    assert not nobody_yet(database)
    assert count(database, FailedAttempt) == 0
    with pytest.raises(HeadThere):
        make("ABCDEFGH", seconds=60, login="second")
    lines = log_page(database, actor=head).lines
    assert [(line.kind, line.actor, line.teacher, line.detail) for line in lines] == [
        (LogKind.TEACHER_ADDED, "Ms Wu", "Ms Wu", "head")
    ]
