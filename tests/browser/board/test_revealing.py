"""The teacher reveals step by step with mouse, keyboard or clicker, with script and without."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pytest
from playwright.sync_api import Page, expect

from app.practicals.board.reveal import BOARD_STEPS
from app.practicals.board.snapshot import class_snapshot
from tests.browser.barriers import COLOURS, barriers
from tests.browser.board.conftest import SOON, OpenWall, polls
from tests.figures.classes import a_class, a_run
from tests.web.board.reported import send

pytestmark = pytest.mark.browser


def test_a_clicker_goes_through_all_steps_and_back_hides_again(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    for step in BOARD_STEPS[1:]:
        revealed = step in ("separated", "ledger")
        assert "accepted" in wall.picture.inner_html() if revealed else "128" not in wall.picture.inner_html()
        wall.page.keyboard.press("PageDown")
        wall.at_step(step)
    wall.page.keyboard.press("PageDown")
    wall.page.keyboard.press("End")
    wall.at_step("ledger")
    for step in reversed(BOARD_STEPS[:-1]):
        wall.page.keyboard.press("PageUp")
        wall.at_step(step)
    assert "accepted" not in wall.picture.inner_html().lower().replace("the accepted value", "")
    assert "128" not in wall.picture.inner_html()


def test_arrows_home_and_end_do_the_same_in_the_direction_of_reading(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4), language="ar")
    wall.page.keyboard.press("ArrowLeft")
    wall.at_step("spread")
    wall.page.keyboard.press("ArrowRight")
    wall.at_step("reported")
    wall.page.keyboard.press("End")
    wall.at_step("ledger")
    wall.page.keyboard.press("Home")
    wall.at_step("reported")


def test_every_control_is_reached_and_worked_by_keyboard_alone(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    controls = ["Back", "Reveal next", "Hold the picture", "Dark room", "Report"]
    reached = []
    for _ in range(9):
        wall.page.keyboard.press("Tab")
        reached.append(wall.page.evaluate("document.activeElement.textContent.trim()"))
        if reached[-1] == "Reveal next":
            wall.page.keyboard.press("Enter")
            wall.at_step("spread")
    assert [name for name in reached if name in controls] == controls


def test_pressing_reveal_twice_in_a_hurry_reveals_one_step(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    # It asks for its picture once the server has answered, and again two seconds later.
    with polls(wall):
        wall.page.get_by_role("button", name="Reveal next").dblclick()
        wall.at_step("spread")
    wall.at_step("spread")
    assert (
        class_snapshot(wall.served.database, wall.group.practical_id, actor=wall.group.teacher).board.step
        == "spread"
    )


def test_the_board_works_without_script(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4), java_script_enabled=False)
    for step in BOARD_STEPS[1:3]:
        wall.page.get_by_role("button", name="Reveal next").click()
        wall.at_step(step)
    expect(wall.page.locator(".wall-figure img")).to_be_visible()
    wall.page.get_by_role("button", name="Back").click()
    wall.at_step("spread")
    wall.page.get_by_role("button", name="Dark room").click()
    expect(wall.page.locator("html")).to_have_class(re.compile("wall-dark"))
    expect(wall.page.locator(".wall-figure img")).to_have_attribute("src", re.compile("room=dark"))


def test_axe_finds_nothing_on_any_step_in_either_room_nor_on_the_report(a_wall: OpenWall) -> None:
    wall = a_wall([*a_class(5), a_run(6, warming=1.0)])
    for room in ("bright", "dark"):
        for step in BOARD_STEPS:
            wall.go(step)
            wall.open()
            _nothing_found(wall.page, f"{step} in a {room} room", None if room == "bright" else COLOURS)
        wall.page.locator("button[name=room]").click()
        other = "wall-dark" if room == "bright" else "wall-light"
        expect(wall.page.locator("html")).to_have_class(other, timeout=SOON)
    wall.page.goto(f"{wall.address}/report")
    _nothing_found(wall.page, "the report")


def _nothing_found(page: Page, where: str, options: Mapping[str, object] | None = None) -> None:
    found = barriers(page, options)
    assert not found, f"{where}:\n{found}"


def test_in_full_screen_the_controls_go_when_nobody_uses_them_and_come_back(a_wall: OpenWall) -> None:
    wall = a_wall(a_class(4))
    wall.page.clock.install()
    wall.open()
    controls = [wall.page.locator(part) for part in (".wall-steps", ".wall-tools", ".wall-status")]
    wall.page.clock.run_for(5000)
    for part in controls:
        expect(part).to_have_css("opacity", "1")
    wall.page.get_by_role("button", name="Full screen").click()
    wall.page.wait_for_function("document.fullscreenElement")
    wall.page.clock.run_for(5000)
    for part in controls:
        expect(part).to_have_css("opacity", "0")
    wall.page.route("**/picture", lambda route: route.abort())  # an answer would take "stale" back
    wall.page.keyboard.press("Shift")
    for part in controls:
        expect(part).to_have_css("opacity", "1")
    wall.page.clock.run_for(5000)
    wall.page.evaluate("document.getElementById('wall-status').classList.add('stale')")
    expect(wall.status).to_have_css("opacity", "1")
    expect(controls[0]).to_have_css("opacity", "0")


@pytest.mark.parametrize(("wish", "fades"), [("no-preference", "fade"), ("reduce", "none")])
def test_a_new_step_fades_in_unless_motion_is_unwanted(a_wall: OpenWall, wish: str, fades: str) -> None:
    wall = a_wall(a_class(4), reduced_motion=wish)
    body = wall.page.locator(".wall-body")
    expect(body).to_have_css("animation-name", "none")
    # Until the fade has been seen, no answer but that to the key may bring a picture: one of the same step,
    # asked for on the way, would end the fade. The page never asks twice at once.
    wall.page.route("**/picture", lambda route: route.abort())
    with wall.page.expect_request("**/picture", timeout=SOON):
        wall.page.evaluate("dispatchEvent(new Event('online'))")
    wall.page.keyboard.press("PageDown")
    wall.at_step("spread")
    expect(body).to_have_css("animation-name", fades)
    wall.page.unroute("**/picture")
    send(wall.group, [a_run(5)])
    wall.page.evaluate("dispatchEvent(new Event('online'))")
    expect(wall.status).to_contain_text("Runs: 9.", timeout=SOON)
    expect(body).to_have_css("animation-name", "none")
