"""A phone lying on its side, a page enlarged to twice its size, a keyboard over half the screen."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.browser.phone.phone import a_phone
from tests.browser.phone.test_counting import stand_at_the_count
from tests.serving import Served

pytestmark = pytest.mark.browser

# What of the counting page cannot be read: it leaves its part of the page, another part lies over it, or
# nobody can scroll to it.
CUT_OFF = """() => {
  const board = document.querySelector(".counting"), cut = [];
  const box = (part) => part.getBoundingClientRect();
  const within = (inner, outer) => inner.top >= outer.top - 1 && inner.bottom <= outer.bottom + 1
    && inner.left >= outer.left - 1 && inner.right <= outer.right + 1;
  const apart = (one, other) => one.bottom <= other.top + 1 || other.bottom <= one.top + 1
    || one.right <= other.left + 1 || other.right <= one.left + 1;
  const parts = [...board.children], { scrollTop, scrollHeight, clientHeight } = board;
  parts.forEach((part, at) => {
    const bad = (words) => cut.push([part.className || part.tagName, words]);
    if (![...part.querySelectorAll("*")].every((inner) => within(box(inner), box(part)))) bad("is too small");
    if (!parts.slice(at + 1).every((other) => apart(box(part), box(other)))) bad("lies over another");
    const [first, last] = [box(part).top + scrollTop, box(part).bottom + scrollTop];
    if (first < -1 || last > scrollHeight + 1) bad("is out of reach");
  });
  const scrolls = getComputedStyle(board).overflowY === "auto";
  if (scrollHeight > clientHeight + 1 && !scrolls) cut.push("the rest cannot be reached");
  if (board.scrollWidth > board.clientWidth + 1) cut.push("scrolls sideways");
  return cut;
}"""
SEEN = """(names) => names.every((name) => {
  const part = document.querySelector(name), { left, width, top, bottom } = part.getBoundingClientRect();
  return [top + 4, bottom - 4].every((down) => part === document.elementFromPoint(left + width / 2, down));
})"""


@pytest.mark.parametrize(("wide", "high"), [(568, 320), (180, 370)], ids=["on its side", "enlarged"])
def test_every_word_of_the_count_can_be_read_however_the_phone_is_held(
    browser: Browser, served: Served, wide: int, high: int
) -> None:
    a_class = served.a_class(inversions=6)
    with a_phone(browser, served, a_class, locale="de", viewport={"width": wide, "height": high}) as phone:
        stand_at_the_count(phone, target=6)
        phone.count_falls(5)
        assert phone.page.inner_text("[data-left]") == "noch: 1"
        assert phone.page.inner_text(".tempo") != ""
        assert phone.page.evaluate(CUT_OFF) == []
        phone.count_falls(1)
        assert "END-Temperatur" in phone.page.inner_text("[data-do]")
        assert phone.page.evaluate(CUT_OFF) == []
        phone.page.click("[data-done]")
        phone.page.wait_for_selector("#end_temperature:visible")


def test_above_the_keyboard_stand_the_field_and_the_way_on(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.go("/bench/run/weigh")
        for _ in range(3):
            phone.page.click("[data-go=back]")
        assert phone.step == "start"
        phone.page.focus("#start_temperature")
        phone.page.set_viewport_size({"width": 360, "height": 380})  # as the keyboard leaves it
        phone.page.wait_for_function(SEEN, arg=["#start_temperature", "[data-go=next]"])
        phone.page.fill("#start_temperature", "19.1")
        phone.next()
        phone.next()
        phone.page.focus("#end_temperature")
        phone.page.wait_for_function(SEEN, arg=["#end_temperature", "[data-go=next]"])
        viewport = phone.page.get_attribute("meta[name=viewport]", "content") or ""
        assert "interactive-widget=resizes-content" in viewport  # else the browser lays the keyboard over it


def test_the_browsers_own_bar_coming_back_moves_nothing(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.go("/bench/run/all")
        phone.page.focus("#shot_mass")
        phone.page.evaluate(
            """() => {
              scrollTo(0, 600);
              window.seen = new Promise((done) => addEventListener("resize", done));
            }"""
        )
        phone.page.set_viewport_size({"width": 360, "height": 684})
        phone.page.evaluate("() => window.seen.then(() => new Promise(requestAnimationFrame))")
        assert phone.page.evaluate("() => scrollY") == 600
