"""The wall follows the phones by itself, and says so when it cannot."""

from __future__ import annotations

import pytest
from playwright.sync_api import Response, expect

from app.practicals.people.sessions import sign_out
from tests.browser.board.conftest import SOON, OpenWall, polls
from tests.figures.classes import a_class, a_run
from tests.web.board.reported import send

pytestmark = pytest.mark.browser


def test_a_run_shows_on_the_wall_by_itself_and_takes_neither_focus_nor_place(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    wall.page.locator("button[name=room]").focus()
    send(wall.group, [a_run(5)])
    expect(wall.picture).to_contain_text("5 of 5", timeout=SOON)
    expect(wall.status).to_contain_text("Runs: 9.")
    expect(wall.page.locator("button[name=room]")).to_be_focused()
    assert wall.page.evaluate("[scrollX, scrollY]") == [0, 0]


@pytest.mark.long
def test_the_figure_and_the_numbers_beside_it_are_always_of_one_revision(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    wall.page.keyboard.press("PageDown")
    wall.at_step("spread")
    wall.note_every_revision()
    for bench in (5, 8):
        with wall.page.expect_response(_newer_picture, timeout=SOON):
            send(wall.group, [a_run(bench)])
        # These come when the words are on their way to the wall and their figure has not been asked for.
        send(wall.group, [a_run(bench + 1), a_run(bench + 2)])
    expect(wall.status).to_contain_text("Runs: 14.", timeout=SOON)
    seen = wall.noted_revisions()
    assert [words for words, _ in seen] == [figure for _, figure in seen]
    assert len({words for words, _ in seen}) > 2
    words, figure = wall.shown_revisions()
    assert words == figure


def _newer_picture(answer: Response) -> bool:
    return answer.url.endswith("/picture") and answer.status == 200


@pytest.mark.long
def test_a_figure_that_cannot_be_had_keeps_the_whole_older_picture(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4, masses=(0.5,)))
    wall.page.keyboard.press("PageDown")
    wall.at_step("spread")
    before = wall.shown_revisions()
    wall.page.route("**/figures/**", lambda route: route.fulfill(status=409))
    with wall.page.expect_response("**/figures/**", timeout=SOON):
        send(wall.group, [a_run(5)])
    with wall.page.expect_request("**/picture", timeout=SOON):
        pass  # it asks again, so it is done with the picture whose figure was refused
    assert wall.shown_revisions() == before
    expect(wall.picture.locator("tbody tr")).to_have_count(4)
    wall.page.unroute("**/figures/**")
    expect(wall.picture.locator("tbody tr")).to_have_count(5, timeout=SOON)


@pytest.mark.long
def test_a_silent_server_is_said_in_words_beside_the_last_good_picture(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    wall.page.route("**/picture", lambda route: route.abort())
    expect(wall.status).to_contain_text("No answer from the server", timeout=2 * SOON)
    expect(wall.status).to_contain_text("Last updated")
    expect(wall.picture).to_contain_text("4 of 4")
    wall.page.unroute("**/picture")
    expect(wall.status).not_to_contain_text("No answer", timeout=2 * SOON)


def test_a_held_picture_waits_and_follows_again_when_let_go(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    hold = wall.page.get_by_role("button", name="Hold the picture")
    hold.click()
    expect(hold).to_have_attribute("aria-pressed", "true")
    with polls(wall):
        send(wall.group, [a_run(5)])
    expect(wall.picture).to_contain_text("4 of 4")
    expect(wall.status).to_contain_text("new runs wait")
    hold.click()
    expect(wall.picture).to_contain_text("5 of 5", timeout=SOON)


def test_a_held_picture_is_still_the_held_one_after_a_reload(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4, masses=(0.5,)))
    wall.page.keyboard.press("PageDown")
    wall.at_step("spread")
    hold = wall.page.get_by_role("button", name="Hold the picture")
    hold.click()
    expect(hold).to_have_attribute("aria-pressed", "true")
    send(wall.group, [a_run(5)])
    with polls(wall):
        wall.page.reload()
    expect(wall.picture.locator("tbody tr")).to_have_count(4)
    expect(wall.status).to_contain_text("Held")
    hold.click()
    expect(wall.picture.locator("tbody tr")).to_have_count(5, timeout=SOON)


def test_a_held_picture_still_follows_the_teacher_to_another_step(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    wall.page.get_by_role("button", name="Hold the picture").click()
    expect(wall.status).to_contain_text("Held")
    wall.go("spread")
    wall.at_step("spread")


def test_a_board_left_open_after_signing_out_says_so_and_keeps_its_picture(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    token = next(c["value"] for c in wall.context.cookies() if c["name"] == "plumbfall-teacher")
    sign_out(wall.served.database, token=token, now=wall.group.practical.created_at)
    expect(wall.status).to_contain_text("Sign in again", timeout=SOON)
    expect(wall.picture).to_contain_text("4 of 4")
