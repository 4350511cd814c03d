"""The desk in a real browser: cards in few steps, live benches, no barrier, any width, keyboard only."""

from __future__ import annotations

import io
import re
import unicodedata

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from app.physics.materials import MATERIALS
from app.practicals.benches.own_bench import ask_for_help, note_progress
from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import enter_run
from app.web.audience import now
from tests.browser.barriers import COLOURS, barriers
from tests.browser.desk.conftest import SignedIn
from tests.exports.papers.type_sizes import sizes_on
from tests.practicals.a_class import PASSWORD, AClass, an_entry, new_key
from tests.serving import Served

pytestmark = pytest.mark.browser


@pytest.fixture
def busy_class(served: Served) -> AClass:
    """Seven benches in all states; bench 4 swapped its temperatures, one run is set aside."""
    a_class = served.a_class()
    for number in range(1, 8):
        bench = a_class.join(number)
        if number == 7:
            note_progress(a_class.database, actor=bench, progress="counting", now=now(), counted_so_far=12)
            continue
        for end in ("21.4", "21.6" if number % 2 else "21.5"):
            entry = an_entry(start=end, end="19.2") if (number, end) == (4, "21.4") else an_entry(end=end)
            enter_run(a_class.database, actor=bench, key=new_key(), entry=entry, now=now())
    ask_for_help(a_class.database, actor=a_class.join(8), wanted=True, now=now())
    run = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs_of(2)[0]
    set_aside(
        a_class.database,
        actor=a_class.teacher,
        run_id=run.run_id,
        reason="tube was dropped",
        expected_revision=run.run_revision,
        now=now(),
    )
    return a_class


class _Counted:
    """Counts what a teacher does beside typing."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.steps = 0

    def press(self, name: str) -> None:
        """One press of a button or link."""
        self.steps += 1
        self.page.get_by_role("button", name=name).or_(self.page.get_by_role("link", name=name)).first.click()


@pytest.mark.long
def test_cards_for_twelve_benches_take_at_most_twelve_interactions(
    served: Served, signed_in: SignedIn
) -> None:
    a_class = served.a_class()
    page = signed_in(a_class)
    page.context.clear_cookies()
    counted = _Counted(page)
    page.goto(f"{served.address}/sign-in")
    page.get_by_label("Sign-in name").fill(a_class.teacher.login)
    page.get_by_label("Password").fill(PASSWORD)
    counted.press("Sign in")
    counted.press("New practical")
    page.get_by_label("Title").fill("11C, Thursday, period 4")
    counted.press("Save the practical")
    counted.press("Plan each bench's mass and start")
    counted.press("Use this plan")
    counted.press("Bench cards")
    counted.press("Make the code for the cards")
    link = page.get_by_role("link", name="Cards as a PDF")
    counted.steps += 2  # open the PDF, print it
    answer = page.request.get(served.address + str(link.get_attribute("href")))
    reader = PdfReader(io.BytesIO(answer.body()))
    assert len(reader.pages) == 12
    texts = [sheet.extract_text() for sheet in reader.pages]
    assert all(f"Bench {number}" in texts[number - 1] for number in range(1, 13))
    assert len(set(re.findall(r"about (\d+) g of shot", " ".join(texts)))) >= 2, "masses differ by bench"
    assert counted.steps <= 12
    for query, sheets, points in (("paper=A4", 12, (595, 842)), ("paper=Letter&per_page=2", 6, (612, 792))):
        page.goto(page.url.split("?")[0] + f"?{query}")
        printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
        box = printed.pages[0].mediabox
        assert (len(printed.pages), round(box.width), round(box.height)) == (sheets, *points), query
        # A caution may be broken into lines, and the browser joins some letters into one sign.
        text = " ".join(unicodedata.normalize("NFKC", printed.pages[-1].extract_text()).split())
        assert "Bench 12" in text
        for caution in MATERIALS["lead"].safety:
            assert str(caution) in text, "no caution is cut off"
        if query.endswith("2"):
            assert min(sizes_on(printed.pages[-1]).values()) >= 8 * 0.99, "Chromium rounds its own scale"


def test_the_code_fills_the_screen_of_a_projector_without_scrolling(
    signed_in: SignedIn, served: Served
) -> None:
    """1280 × 720 is what many projectors show; the code stands beside its QR, both whole."""
    a_class = served.a_class(title="Year 10, falling shot, Thursday period 4")
    page = signed_in(a_class, width=1280, height=720)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/code")
    assert page.evaluate("document.documentElement.scrollHeight") <= 720
    code, drawing = page.locator("#join-code").bounding_box(), page.locator(".qr").bounding_box()
    assert code
    assert drawing
    assert code["x"] + code["width"] <= drawing["x"], "the QR stands beside the code"
    assert drawing["y"] + drawing["height"] <= 720
    assert drawing["width"] >= 400, "a QR is read from ten times its width (common practice, no source)"
    page.set_viewport_size({"width": 360, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_the_lesson_page_follows_the_class_by_itself(served: Served, signed_in: SignedIn) -> None:
    a_class = served.a_class(planned_benches=4)
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/")
    expect(page.get_by_text("0 of 4")).to_be_visible()
    bench = a_class.join(3)
    expect(page.locator("#bench-3")).to_contain_text("joined")
    page.locator("#bench-3").focus()
    note_progress(a_class.database, actor=bench, progress="counting", counted_so_far=31, now=now())
    expect(page.locator("#bench-3")).to_contain_text("counting 31")
    expect(page.locator("#bench-3")).to_be_focused()
    enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=now())
    expect(page.get_by_text("1 of 4")).to_be_visible()
    ask_for_help(a_class.database, actor=bench, wanted=True, now=now())
    expect(page.get_by_text("Asks for help.")).to_be_visible()
    page.get_by_role("button", name="I have been there").click()
    expect(page.get_by_text("Asks for help.")).to_have_count(0)


def test_a_lost_server_is_said_and_the_last_picture_stays(served: Served, signed_in: SignedIn) -> None:
    a_class = served.a_class(planned_benches=4)
    a_class.join(2)
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/")
    page.route("**/live", lambda route: route.abort())
    expect(page.get_by_text("not reached since then")).to_be_visible(timeout=15_000)
    expect(page.locator("#bench-2")).to_contain_text("joined")
    page.unroute("**/live")
    expect(page.get_by_text("not reached since then")).to_have_count(0, timeout=20_000)


def test_a_sign_in_page_of_the_network_does_not_take_the_lessons_place(
    served: Served, signed_in: SignedIn
) -> None:
    a_class = served.a_class(planned_benches=4)
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/")
    page.route("**/live", lambda route: route.fulfill(content_type="text/html", body="<form>Wi-Fi</form>"))
    expect(page.get_by_text("not reached since then")).to_be_visible()
    expect(page.get_by_text("0 of 4")).to_be_visible()


def test_a_page_left_open_over_a_weekend_says_that_one_is_signed_out(
    served: Served, signed_in: SignedIn
) -> None:
    a_class = served.a_class(planned_benches=4)
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/")
    expect(page.get_by_text("0 of 4")).to_be_visible()
    page.context.clear_cookies()
    expect(page.get_by_text("you are signed out")).to_be_visible(timeout=15_000)
    expect(page.get_by_text("0 of 4")).to_be_visible()


PAGES = (
    "/desk/",
    "/desk/new",
    "/desk/{id}/",
    "/desk/{id}/decisions",
    "/desk/{id}/plan",
    "/desk/{id}/planner",
    "/desk/{id}/cards?per_page=2",
    "/desk/{id}/history",
    "/desk/{id}/bench/4",
    "/desk/{id}/enter",
    "/desk/{id}/falls",
    "/desk/password",
    "/department/",
)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing_and_nothing_is_wider_than_a_phone(
    served: Served, signed_in: SignedIn, busy_class: AClass, dark: bool
) -> None:
    """Light on a laptop; dark on a phone, where the pages are that have colours of their own."""
    page = signed_in(busy_class, width=360 if dark else 1280, dark=dark)
    for pattern in PAGES[2:8] if dark else PAGES:
        page.goto(served.address + pattern.format(id=busy_class.practical_id))
        found = barriers(page, COLOURS if dark else None)
        assert not found, f"{pattern}:\n{found}"
        if not dark:
            page.set_viewport_size({"width": 360, "height": 740})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 360, f"{pattern} is {wide} px wide on a phone of 360 px"
        page.set_viewport_size({"width": 360 if dark else 1280, "height": 800})


def test_a_run_is_set_aside_with_the_keyboard_alone(
    served: Served, signed_in: SignedIn, busy_class: AClass
) -> None:
    page = signed_in(busy_class)
    page.goto(f"{served.address}/desk/{busy_class.practical_id}/decisions")
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "reason":
            break
    page.keyboard.type("they swapped the two")
    for _ in range(3):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.value") == "set-aside":
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("is set aside")
    assert (
        class_snapshot(busy_class.database, busy_class.practical_id, actor=busy_class.teacher)
        .runs_of(4)[0]
        .set_aside
    )


def test_errors_take_the_focus_and_lead_to_the_field(served: Served, signed_in: SignedIn) -> None:
    page = signed_in(served.a_class())
    page.goto(f"{served.address}/desk/new")
    page.get_by_label("Accepted specific heat capacity").fill("0")
    page.get_by_role("button", name="Save the practical").click()
    expect(page.get_by_role("alert")).to_be_focused()
    page.get_by_role("link", name=re.compile("An accepted value lies between")).click()
    expect(page.get_by_label("Accepted specific heat capacity")).to_be_focused()
    expect(page.get_by_label("Accepted specific heat capacity")).to_have_value("0")


def test_another_metal_brings_its_value_into_the_form(served: Served, signed_in: SignedIn) -> None:
    a_class = served.a_class()
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/new")
    page.get_by_label("Metal of the shot").select_option("copper")
    expect(page.get_by_label("Accepted specific heat capacity")).to_have_value("384")
    expect(page.get_by_label("Where that value comes from")).to_have_value(re.compile("63.546"))
