"""The desk prints for any bench what its phone takes home."""

from __future__ import annotations

import re

from tests.practicals.a_class import a_teacher
from tests.web.board.conftest import Wall
from tests.web.board.test_on_the_phones import phone_of, said
from tests.web.desk.conftest import Reader


def _article(page: str) -> str:
    """What is printed, without the addresses that lead back and to the figures."""
    found = re.search(r"<article.*?</article>", page, re.DOTALL)
    assert found
    return " ".join(re.sub(r"<[^>]+>", " ", found[0]).split())


def test_the_desk_prints_the_sheet_that_the_phone_takes_home(wall: Wall) -> None:
    wall.go("ledger")
    taken = said(phone_of(wall, 4).get("/bench/take-home"))
    printed = said(wall.teacher.get(f"{wall.address}/bench/4/take-home"))
    assert _article(printed) == _article(taken)
    figures = re.findall(r'(?:src|srcset)="(/board/[^"]+\.svg[^"]*)"', printed)
    marked = [b'<g id="own-bench">' in wall.teacher.get(address).data for address in figures]
    assert any(marked)
    desk = said(wall.teacher.get(f"/desk/{wall.group.practical_id}/bench/4"))
    assert f"{wall.address}/bench/4/take-home" in desk


def test_a_teacher_may_print_it_before_the_last_step_and_nobody_else(wall: Wall) -> None:
    address = f"{wall.address}/bench/4/take-home"
    wall.go("spread")
    assert wall.teacher.get(address).status_code == 200
    assert wall.teacher.get(f"{wall.address}/bench/98/take-home").status_code == 404
    other = a_teacher(wall.group.database, "elsewhere", "Another department")
    stranger = Reader(wall.application.test_client()).let_in(other.login)
    assert stranger.get(address).status_code == 404
    assert phone_of(wall, 4).get(address).status_code in (302, 303, 401, 403)
