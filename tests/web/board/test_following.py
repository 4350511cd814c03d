"""The wall's answers: one revision at a time, nothing loaded while nothing changed, nobody else's class."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from app.practicals.board.reveal import BOARD_STEPS
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import practical_details
from app.web.board import pages
from app.web.board.picture import Picture, picture_of
from tests.figures.classes import a_run
from tests.practicals.a_class import a_teacher
from tests.web.board.conftest import ACCEPTED, Wall
from tests.web.board.reported import send


def _picture(client: FlaskClient, wall: Wall) -> str:
    return html.unescape(client.get(f"{wall.address}/picture").get_data(as_text=True))


def _figure(page: str) -> str:
    found = re.search(r'src="(/board/[^"]+\.svg[^"]*)"', page)
    assert found
    return found[1]


@pytest.mark.parametrize("packed", ["identity", "gzip, deflate, br"])
def test_as_long_as_nothing_changed_the_answer_is_304_and_no_row_is_loaded(
    wall: Wall, monkeypatch: pytest.MonkeyPatch, packed: str
) -> None:
    first = wall.teacher.get(f"{wall.address}/picture", headers={"Accept-Encoding": packed})
    assert first.headers["ETag"].startswith('W/"'), "the same part, however it is packed"
    asking = {"If-None-Match": first.headers["ETag"], "Accept-Encoding": packed}

    def no_rows(*_: object, **__: object) -> None:
        raise AssertionError("rows were loaded")

    with monkeypatch.context() as watched:
        watched.setattr(pages, "board_snapshot", no_rows)
        second = wall.teacher.get(f"{wall.address}/picture", headers=asking)
    assert (second.status_code, second.data) == (304, b"")
    send(wall.group, [a_run(7)])
    third = wall.teacher.get(f"{wall.address}/picture", headers={"If-None-Match": first.headers["ETag"]})
    assert third.status_code == 200
    assert "7 of 8" in html.unescape(third.get_data(as_text=True))


def test_the_picture_of_a_step_just_taken_is_not_sent_twice(wall: Wall) -> None:
    taken = wall.teacher.post(
        f"{wall.address}/step", data={"to": "spread"}, headers={"X-Plumbfall": "script"}
    )
    tag = {"If-None-Match": taken.headers["ETag"]}
    assert wall.teacher.get(f"{wall.address}/picture", headers=tag).status_code == 304


def test_another_language_or_room_is_another_picture(wall: Wall) -> None:
    tag = wall.teacher.get(f"{wall.address}/picture").headers["ETag"]
    german = {"If-None-Match": tag, "Accept-Language": "de"}
    assert wall.teacher.get(f"{wall.address}/picture", headers=german).status_code == 200
    assert wall.teacher.post(f"{wall.address}/room", data={"room": "dark"}).status_code == 303
    assert wall.teacher.get(f"{wall.address}/picture", headers={"If-None-Match": tag}).status_code == 200


def test_a_figure_is_of_its_pages_revision_even_when_a_run_came_in_between(wall: Wall) -> None:
    wall.go("spread")
    page = _picture(wall.teacher, wall)
    before = wall.teacher.get(_figure(page)).data
    send(wall.group, [a_run(7, warming=2.0)])
    assert wall.teacher.get(_figure(page)).data == before
    newer = _picture(wall.teacher, wall)
    assert _figure(newer) != _figure(page)
    assert wall.teacher.get(_figure(newer)).data != before


def test_a_server_that_does_not_have_a_revision_says_so_instead_of_drawing_another(wall: Wall) -> None:
    wall.go("spread")
    page = _picture(wall.teacher, wall)
    gone = re.sub(r"/figures/\d+/", "/figures/1/", _figure(page))
    answer = wall.teacher.get(gone)
    assert (answer.status_code, answer.data) == (409, b"")


def test_each_step_has_its_figure_its_table_and_its_finding(wall: Wall) -> None:
    for step in BOARD_STEPS[1:]:
        wall.go(step)
        page = _picture(wall.teacher, wall)
        assert f'data-step="{step}"' in page
        figure = wall.teacher.get(_figure(page))
        assert figure.status_code == 200
        assert figure.mimetype == "image/svg+xml"
        assert page.count("<table>") == 1
        finding = re.search(r'id="wall-finding">(.+?)</p>', page, re.DOTALL)
        assert finding
        alternative = re.search(r'alt="[^"]+set aside: 0\. ([^"]+)"', page)
        assert alternative
        # The spread of several masses asks why they differ; its figure says the class value itself.
        wanted = "Why would less shot read higher?" if step == "spread" else alternative[1]
        assert wanted in finding[1]


@pytest.mark.parametrize("place", range(len(BOARD_STEPS)))
def test_the_row_of_steps_shows_how_far_the_class_is(wall: Wall, place: int) -> None:
    wall.go(BOARD_STEPS[place])
    steps = re.findall(
        r"<li( aria-current=\"step\")? class=\"(passed|here|ahead)\">", _picture(wall.teacher, wall)
    )
    wanted = ["passed"] * place + ["here"] + ["ahead"] * (len(BOARD_STEPS) - place - 1)
    assert [kind for _, kind in steps] == wanted
    assert [bool(current) for current, _ in steps] == [kind == "here" for kind in wanted]


def test_a_replaced_code_is_on_the_wall_at_its_next_question(wall: Wall) -> None:
    database, here = wall.group.database, wall.group.practical_id
    shown = wall.teacher.get(f"{wall.address}/picture")
    old = _code(shown.get_data(as_text=True))
    assert old == wall.group.practical.join_code
    wall.teacher.post(f"/desk/{here}/conduct/replace-code", data={"sure": "yes"})
    stored = practical_details(database, actor=wall.group.teacher, practical_id=here).join_code
    assert stored is not None
    assert stored != old
    asked = wall.teacher.get(f"{wall.address}/picture", headers={"If-None-Match": shown.headers["ETag"]})
    assert asked.status_code == 200
    assert _code(asked.get_data(as_text=True)) == stored


def _code(page: str) -> str:
    found = re.search(r'class="joining-code"[^>]*>([^<]+)<', page)
    assert found
    return re.sub(r"\W", "", found[1])


def test_going_to_a_named_step_twice_reveals_it_once(wall: Wall) -> None:
    wall.go("spread")
    wall.go("spread")
    assert 'data-step="spread"' in _picture(wall.teacher, wall)


def test_a_step_that_does_not_exist_is_refused_in_words(wall: Wall) -> None:
    answer = wall.teacher.post(f"{wall.address}/step", data={"to": "everything"})
    assert answer.status_code == 422
    assert "no such step" in answer.get_data(as_text=True)


def test_the_script_gets_the_new_picture_and_a_plain_form_the_page(wall: Wall) -> None:
    headers = {"X-Plumbfall": "script"}
    scripted = wall.teacher.post(f"{wall.address}/step", data={"to": "spread"}, headers=headers)
    assert scripted.status_code == 200
    assert scripted.get_data(as_text=True).lstrip().startswith("<section")
    plain = wall.teacher.post(f"{wall.address}/pause", data={"paused": "yes"})
    assert (plain.status_code, plain.headers["Location"]) == (303, wall.address)
    page = wall.teacher.get(wall.address).get_data(as_text=True)
    assert 'aria-pressed="true"' in page
    assert "refresh" not in page


def test_a_held_board_shows_after_a_reload_what_it_held(wall: Wall) -> None:
    wall.go("spread")
    wall.teacher.post(f"{wall.address}/pause", data={"paused": "yes"})
    held = _picture(wall.teacher, wall)
    drawn = wall.teacher.get(_figure(held)).data
    send(wall.group, [a_run(7, warming=2.0)])
    again = html.unescape(wall.teacher.get(wall.address).get_data(as_text=True))
    assert _numbers(again) == _numbers(held)
    assert "Runs: 12." in again
    assert wall.teacher.get(_figure(again)).data == drawn
    assert ACCEPTED not in again
    assert wall.teacher.get(_figure(again).replace("spread.svg", "accepted.svg")).status_code == 409
    wall.teacher.post(f"{wall.address}/pause", data={"paused": "no"})
    assert "Runs: 13." in wall.teacher.get(wall.address).get_data(as_text=True)


def _numbers(page: str) -> str:
    return page.split("<table>")[1].split("</table>")[0]


def test_a_class_without_runs_says_so_at_every_step(wall: Wall) -> None:
    from app.practicals.lesson.plan import copy_practical

    empty = copy_practical(
        wall.group.database,
        actor=wall.group.teacher,
        practical_id=wall.group.practical_id,
        now=wall.group.practical.created_at,
        title="Empty",
        held_on=wall.group.practical.plan.held_on,
    )
    for step in BOARD_STEPS:
        wall.teacher.post(f"/board/{empty.practical_id}/step", data={"to": step})
        page = wall.teacher.get(f"/board/{empty.practical_id}").get_data(as_text=True)
        assert "No run yet. The first lands here." in page or step == "reported"


def test_another_department_finds_no_board_and_a_colleague_may_look_but_not_reveal(wall: Wall) -> None:
    stranger = a_teacher(wall.group.database, login="stranger", department="Chemistry")
    away = wall.client(stranger.login)
    for address in ("", "/picture", "/figures/1/spread.svg?language=en&room=bright", "/report"):
        assert away.get(wall.address + address).status_code == 404
    assert away.post(f"{wall.address}/step", data={"to": "ledger"}).status_code == 404
    colleague = wall.client(a_teacher(wall.group.database, login="colleague").login)
    page = colleague.get(wall.address)
    assert page.status_code == 200
    assert "Reveal next" not in page.get_data(as_text=True)
    assert colleague.post(f"{wall.address}/step", data={"to": "ledger"}).status_code == 403


def test_the_board_does_not_wait_for_the_drawing_library() -> None:
    """The pages of a phone and the board's first step load neither matplotlib nor scipy."""
    import subprocess
    import sys

    code = "import sys, app.web.board.pages; sys.exit(bool({'matplotlib', 'scipy'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0


def test_a_finding_from_right_to_left_keeps_each_unit_behind_its_figure(wall: Wall) -> None:
    wall.go("percent error")
    page = wall.teacher.get(wall.address, headers={"Accept-Language": "ar"}).get_data(as_text=True)
    finding = re.findall(r'id="wall-finding">(.*?)</p>', page, re.DOTALL)[0]
    assert re.search("\u2066[0-9.]+\u00a0J/\\(kg·K\\)\u2069", finding)
    report = wall.teacher.get(f"{wall.address}/report", headers={"Accept-Language": "ar"}).get_data(
        as_text=True
    )
    assert re.search("\u2066[0-9.]+\u00a0J/\\(kg·K\\)\u2069", report)


@pytest.mark.parametrize("page", ["picture", "report"])
def test_a_page_keeps_as_much_room_for_a_figure_as_it_is_large(wall: Wall, page: str) -> None:
    send(wall.group, [a_run(7), a_run(8)])
    wall.go("spread")
    said = html.unescape(wall.teacher.get(f"{wall.address}/{page}").get_data(as_text=True))
    shown = r'(?:src|srcset)="(/board/[^"]+\.svg[^"]*)" width="(\d+)" height="(\d+)"'
    found = re.findall(shown, said)
    assert found
    for address, *sides in found:
        drawn = wall.teacher.get(address).get_data(as_text=True)
        assert f'viewBox="0 0 {" ".join(sides)}"' in drawn, address


def test_the_grid_of_benches_has_as_many_columns_as_keep_its_cells_readable(wall: Wall) -> None:
    """4 columns up to 16 benches, 6 up to 24, 7 up to 35, 8 up to 48, else 10 (our own choice)."""
    snapshot = class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher)

    def shown(benches: int) -> Picture:
        plan = replace(snapshot.practical.plan, planned_benches=benches)
        practical = replace(snapshot.practical, plan=plan)
        return picture_of(replace(snapshot, practical=practical), "grid")

    columns = {benches: shown(benches).columns for benches in (16, 17, 24, 25, 35, 36, 48, 49, 99)}
    assert columns == {16: 4, 17: 6, 24: 6, 25: 7, 35: 7, 36: 8, 48: 8, 49: 10, 99: 10}
    assert [shown(benches).few_joined for benches in (18, 19)] == [False, True], "of six that have joined"
