"""The accepted value stays off the wall, in every form, until the teacher reveals it; and goes again."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime

import pytest
from flask.testing import FlaskClient

from app.practicals.benches.joining import join_bench
from app.practicals.board.reveal import BOARD_STEPS, step_reached
from app.records.choices import BoardStep
from app.web.board.picture import STEP_OF_FIGURE
from tests.web.board.conftest import ACCEPTED, Wall

BEFORE = [step for step in BOARD_STEPS if not step_reached(step, BoardStep.PERCENT_ERROR)]


def _answers(wall: Wall) -> dict[str, str]:
    """Everything that the wall can be asked for, headers included."""
    asked = [wall.address, f"{wall.address}/picture"]
    page = wall.teacher.get(wall.address).get_data(as_text=True)
    revision = re.search(r'data-revision="(\d+)"', page)
    assert revision
    asked += [
        f"{wall.address}/figures/{revision[1]}/{name}.svg?language={language}&room={room}"
        for name in STEP_OF_FIGURE
        for language in ("en", "de")
        for room in ("bright", "dark")
    ]
    answers = {}
    for address in asked:
        answer = wall.teacher.get(address)
        answers[address] = f"{answer.headers}\n{html.unescape(answer.get_data(as_text=True))}"
    return answers


@pytest.mark.parametrize("step", BEFORE)
def test_no_answer_of_the_wall_holds_the_accepted_value_before_its_step(wall: Wall, step: str) -> None:
    wall.go(step)
    for address, answer in _answers(wall).items():
        assert ACCEPTED not in answer, address
        assert ACCEPTED.replace(".", ",") not in answer, address
        assert "above the accepted" not in answer, address
        assert "accepted-line" not in answer, address


def test_the_accepted_value_is_on_the_wall_at_its_step_and_gone_after_stepping_back(wall: Wall) -> None:
    wall.go("percent error")
    revealed = _answers(wall)
    assert ACCEPTED in revealed[wall.address]
    assert any("accepted-line" in answer for answer in revealed.values())
    wall.go("line")
    assert not any(ACCEPTED in answer for answer in _answers(wall).values())


def test_an_old_address_of_a_revealed_figure_is_refused_once_the_board_has_stepped_back(wall: Wall) -> None:
    wall.go("percent error")
    address = _figure_address(wall.teacher, wall.address)
    assert wall.teacher.get(address).status_code == 200
    wall.go("line")
    assert wall.teacher.get(address).status_code == 409


def test_who_has_reported_shows_no_measured_value(wall: Wall) -> None:
    page = wall.teacher.get(f"{wall.address}/picture").get_data(as_text=True)
    assert "<img" not in page.replace('<img src="data:', "")
    assert "J/(kg" not in page
    assert page.count(">runs: 2<") == 6
    assert page.count("not joined") == 2
    code = wall.group.practical.join_code or ""
    assert f">{code[:3]} {code[3:]}<" in page, "in two groups, as on the cards and at the desk"


def test_no_page_that_a_phone_may_open_tells_it_the_accepted_value(wall: Wall) -> None:
    code = wall.group.practical.join_code or ""
    joined = join_bench(wall.group.database, code=code, bench_number=8, now=datetime.now(UTC))
    phone = wall.application.test_client()
    phone.set_cookie("plumbfall-bench", joined.token)
    assert phone.get(f"/j/{code}", follow_redirects=True).status_code == 200
    walked = 0
    for rule in wall.application.url_map.iter_rules():
        view = wall.application.view_functions[rule.endpoint]
        if (
            "GET" in (rule.methods or ())
            and not rule.arguments
            and getattr(view, "audience", "") in ("anyone", "bench")
        ):
            answer = phone.get(rule.rule, follow_redirects=True)
            assert ACCEPTED not in html.unescape(answer.get_data(as_text=True)), rule.rule
            walked += 1
    assert walked


def _figure_address(client: FlaskClient, wall: str) -> str:
    page = html.unescape(client.get(wall).get_data(as_text=True))
    found = re.search(r'src="(/board/[^"]+\.svg[^"]*)"', page)
    assert found
    return found[1]
