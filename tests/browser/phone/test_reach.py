"""Everyone can use it: axe finds nothing, 320 px and double size need no sideways scrolling."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from app.web.languages import LANGUAGES
from tests.browser.barriers import barriers_in_both_themes
from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser
RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }
}
SMALL_TARGETS = """() => [
    ...document.querySelectorAll('a, button, summary, input:not([type=hidden]), select')]
  .filter(e => e.checkVisibility() && !e.closest('.visually-hidden, .skip'))
  .filter(e => Math.min(e.getBoundingClientRect().height, e.getBoundingClientRect().width) < 44)
  .map(e => e.outerHTML.slice(0, 100))"""
SMALL_WORDS = """() => [...document.querySelectorAll('body, body *')]
  .filter(e => e.checkVisibility() && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
  .filter(e => parseFloat(getComputedStyle(e).fontSize) < 15)
  .map(e => e.outerHTML.slice(0, 100))"""
WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def no_findings(phone: Phone, where: str) -> None:
    """axe-core's verdict in the light and the dark theme, and nothing wider than the screen.

    One language of each direction is asked of axe, which does not read; words of every length must fit.
    """
    phone.page.wait_for_load_state()
    # At the end of the page the bar lies in its own place and covers nothing of the step.
    phone.page.evaluate("() => scrollTo(0, document.documentElement.scrollHeight)")
    if phone.page.get_attribute("html", "lang") in ("en", "ar"):
        found = barriers_in_both_themes(phone.page, RULES)
        assert not found, f"{where}, {found}"
    wide = phone.page.evaluate(WIDER)
    assert wide <= 0, f"{where} is {wide} px too wide"


@pytest.mark.long
@pytest.mark.parametrize("language", LANGUAGES)
def test_axe_finds_nothing_on_any_page_of_the_phone_at_320_px(
    browser: Browser, served: Served, language: str
) -> None:
    small = {"width": 320, "height": 640}
    with a_phone(browser, served, locale=language, viewport=small) as phone:
        page = phone.page
        phone.go("/")
        assert page.get_attribute("html", "lang") == language
        assert page.get_attribute("html", "dir") == ("rtl" if language == "ar" else "ltr")
        no_findings(phone, "entry")
        page.fill("#code", "WRONG77")
        page.click("main button.main")
        no_findings(phone, "wrong code")
        phone.go(f"/j/{phone.a_class.practical.join_code}")
        no_findings(phone, "choose")
        page.click('button[value="7"]')
        no_findings(phone, "safety")
        page.click("main button.main")
        page.wait_for_selector("#run")
        page.click("[data-go=next]")
        no_findings(phone, "an empty field")
        page.fill("#shot_mass", "3400")
        page.click("[data-go=next]")
        page.wait_for_selector("[data-as-typed]")
        no_findings(phone, "a question")
        page.click("[data-as-typed]")
        page.wait_for_selector('section[data-step="tube"]:not([hidden])')
        phone.next()
        no_findings(phone, "start")
        page.fill("#start_temperature", "19.2")
        phone.next()
        no_findings(phone, "count")
        page.click("[data-count]")
        page.tap(".tap")
        no_findings(phone, "counting")
        page.click("[data-done]")
        page.fill("#inversions", "50")
        phone.next()
        page.fill("#end_temperature", "21.4")
        phone.next()
        page.wait_for_selector("[data-go=send]:not([hidden])")
        no_findings(phone, "check")
        page.route("**/bench/send", lambda route: route.abort())
        phone.send()
        page.wait_for_selector("#queue.holds")
        page.click("#queue summary")
        no_findings(phone, "kept on the phone")
        page.unroute("**/bench/send")
        page.click("[data-now]")
        page.wait_for_selector("#queue:not(.holds)", state="attached")
        no_findings(phone, "sent")
        phone.go("/bench/how/1")
        for line, text in (("g", "9.81"), ("h", "95")):
            page.fill(f"#{line}", text)
            page.click("#own form button")
            page.wait_for_selector("#h")
        no_findings(phone, "a slip on the way to c")
        phone.go("/bench/runs")
        page.fill("#own-1", "4.23")
        page.click("#run-1 button")
        page.click("#run-1 details summary")
        no_findings(phone, "runs")
        page.click('#run-1 a[href^="/bench/runs/"]')
        no_findings(phone, "correct")
        for path in ("/bench/ours", "/bench/ice", "/bench/run/all", "/bench/safety?again=1", "/nowhere", "/"):
            phone.go(path)
            no_findings(phone, path)
        phone.context.clear_cookies(name="plumbfall-bench")
        phone.go(f"/j/{phone.a_class.practical.join_code}?bench=45")
        no_findings(phone, "the card's bench")
        page.click("main button.main")
        no_findings(phone, "waiting to be let in")


def test_double_text_size_needs_no_sideways_scrolling(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        for path in ("/", "/bench/run/start", "/bench/run/all", "/bench/ours", "/bench/ice", "/bench/runs"):
            phone.go(path)
            double_the_text(phone)
            assert phone.page.evaluate("() => getComputedStyle(document.documentElement).fontSize") == "32px"
            assert phone.page.evaluate(WIDER) <= 0, path


def double_the_text(phone: Phone) -> None:
    """As a browser's own setting does it, which no rule about styles of the page forbids."""
    session = phone.context.new_cdp_session(phone.page)
    session.send("DOM.enable")
    session.send("CSS.enable")
    frame = session.send("Page.getFrameTree")["frameTree"]["frame"]["id"]
    sheet = session.send("CSS.createStyleSheet", {"frameId": frame})["styleSheetId"]
    session.send("CSS.setStyleSheetText", {"styleSheetId": sheet, "text": "html { font-size: 200%; }"})
    session.detach()


def test_every_button_and_link_is_big_enough_for_a_wet_finger(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.send()
        phone.waits_for("Saved as run 1")
        paths = [
            "/bench/run/start",
            "/bench/run/all",
            "/bench/ours",
            "/bench/runs",
            "/bench/ice",
            "/bench/how/1",
        ]
        for path in [
            "as sent",
            *paths,
            "/bench/safety?again=1",
            "/",
            f"/j/{phone.a_class.practical.join_code}?bench=9",
        ]:
            if path != "as sent":
                phone.go(path)
            assert phone.page.evaluate(SMALL_TARGETS) == [], path
            assert phone.page.evaluate(SMALL_WORDS) == [], path


def test_the_languages_take_one_row_at_the_foot(browser: Browser, served: Served) -> None:
    tops = "() => [...document.querySelectorAll('footer .languages button')].map(e => e.offsetTop)"
    with a_phone(browser, served) as phone:
        phone.go("/")
        for language in reversed(LANGUAGES):
            phone.page.click(f"footer .languages [lang={language}]")
            phone.page.wait_for_selector(f"html[lang={language}]")
            assert len(set(phone.page.evaluate(tops))) == 1, language
