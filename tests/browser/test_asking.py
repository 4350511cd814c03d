"""How the pages ask: wait, back-off, time-out and whose answer counts, on a clock of the test's own."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from app.resources import static_dir
from tests.serving import Served

pytestmark = pytest.mark.browser

# A server of the test's own: `answers` is given out first to last, and the last for ever. "silent" never
# answers, "half" sends its headers and then nothing more.
SERVER = """() => {
    window.times = []; window.sent = []; window.answers = ['ok']; window.seen = []; window.hiddenNow = false;
    Math.random = () => 0.5;
    Object.defineProperty(document, 'hidden', { get: () => window.hiddenNow });
    const piece = (text) => new Response(`<p id="mark">${text}</p>`, { headers: { ETag: '"1"' } });
    window.fetch = (address, options) => {
        times.push(Date.now() - began); sent.push(options);
        const answer = answers.length > 1 ? answers.shift() : answers[0];
        const never = new Promise((_, reject) => {
            options.signal.addEventListener('abort', () => reject(options.signal.reason));
        });
        if (answer === 'silent') return never;
        const half = { status: 200, headers: new Headers(), text: () => never };
        if (answer === 'half') return Promise.resolve(half);
        if (answer === 'lost') return Promise.reject(new TypeError('lost'));
        if (answer === 'portal') return Promise.resolve(new Response('<form>Sign in to the Wi-Fi</form>'));
        if (answer === 'late') return new Promise((done) => setTimeout(() => done(piece('late')), 5000));
        if (typeof answer === 'number') return Promise.resolve(new Response(null, { status: answer }));
        return Promise.resolve(piece(answer));
    };
    window.show = (shown) => { hiddenNow = !shown; document.dispatchEvent(new Event('visibilitychange')); };
}"""
FOLLOW = """(answers) => {
    window.answers = answers; window.began = Date.now();
    window.following = asking.follow('/piece', '#mark', {
        take: (piece) => { seen.push(piece.textContent); return piece.textContent !== 'not now'; },
        well: () => seen.push('well'),
        failed: (failures) => seen.push(failures), barred: () => seen.push('barred'),
    });
}"""


@pytest.fixture
def asking(browser: Browser) -> Iterator[Page]:
    """A page with the script and nothing else, whose clock stands still until the test moves it."""
    context = browser.new_context()
    page = context.new_page()
    page.on("pageerror", lambda error: pytest.fail(f"the script failed: {error}"))
    page.clock.install(time=0)
    page.clock.pause_at(1000)
    page.evaluate(SERVER)
    page.add_script_tag(content=(static_dir() / "js/asking.js").read_text(encoding="utf-8"))
    yield page
    context.close()


def pass_time(page: Page, seconds: float) -> None:
    """Let so much of the page's own time pass, in steps: what an answer brings about comes between two."""
    for _ in range(int(seconds * 2)):
        page.clock.run_for(500)


def asked_at(page: Page) -> list[float]:
    """Seconds from the beginning to each question, by the page's clock."""
    return [round(milliseconds / 1000, 1) for milliseconds in page.evaluate("times")]


def waits(page: Page) -> list[float]:
    """Seconds before each question."""
    times = asked_at(page)
    return [round(later - earlier, 1) for earlier, later in zip([0.0, *times], times, strict=False)]


def test_it_asks_every_two_seconds_and_tells_which_piece_it_has(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["first", 304])
    pass_time(asking, 6.5)
    assert waits(asking) == [2, 2, 2]
    assert asking.evaluate("seen") == ["first", "well", "well", "well"]
    assert asking.evaluate("sent.map(({ headers }) => headers['If-None-Match'] || '')") == ["", '"1"', '"1"']
    assert asking.evaluate("sent[0].headers['X-Plumbfall'] + sent[0].redirect + sent[0].cache") == (
        "scriptmanualno-store"
    )


def test_a_piece_that_was_not_taken_is_asked_for_again(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["not now", "not now", "now", 304])
    pass_time(asking, 8.5)
    assert asking.evaluate("seen") == ["not now", "well", "not now", "well", "now", "well", "well"]
    assert asking.evaluate("sent.map(({ headers }) => headers['If-None-Match'] || '')") == ["", "", "", '"1"']


def test_each_failure_doubles_the_wait_up_to_half_a_minute_and_an_answer_ends_that(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["lost", 500, "portal", "lost", "lost", "lost", "ok"])
    pass_time(asking, 125)
    assert waits(asking)[:8] == [2, 4, 8, 16, 30, 30, 30, 2]
    assert asking.evaluate("seen").index("well") == 7
    assert asking.evaluate("seen")[:7] == [1, 2, 3, 4, 5, 6, "ok"]


def test_pages_opened_together_do_not_ask_together(asking: Page) -> None:
    for chance, wait in ((0, 1.6), (1, 2.4)):
        asking.evaluate("(chance) => { Math.random = () => chance; times = []; }", chance)
        asking.evaluate(FOLLOW, ["silent"])
        asking.clock.run_for(round(wait * 1000) - 100)
        before = len(asked_at(asking))
        asking.clock.run_for(200)
        assert len(asked_at(asking)) == before + 1


@pytest.mark.parametrize("answer", ["silent", "half"])
def test_an_answer_that_does_not_come_whole_in_eight_seconds_is_given_up(asking: Page, answer: str) -> None:
    asking.evaluate(FOLLOW, [answer, "ok"])
    pass_time(asking, 2 + 7.5)
    assert asking.evaluate("seen") == []
    pass_time(asking, 1)
    assert asking.evaluate("seen") == [1]
    pass_time(asking, 4)
    assert waits(asking) == [2, 8 + 4]
    assert asking.evaluate("seen") == [1, "ok", "well"]


def test_a_hidden_page_asks_nothing_and_asks_at_once_when_it_is_seen_again(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["ok"])
    pass_time(asking, 2.5)
    asking.evaluate("show(false)")
    pass_time(asking, 60)
    asking.evaluate("dispatchEvent(new Event('online'))")
    pass_time(asking, 60)
    assert len(asked_at(asking)) == 1
    asking.evaluate("show(true)")
    assert len(asked_at(asking)) == 2
    pass_time(asking, 2.5)
    assert len(asked_at(asking)) == 3


def test_back_on_the_network_it_asks_at_once_and_its_waits_begin_anew(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["lost"])
    pass_time(asking, 31)
    assert waits(asking) == [2, 4, 8, 16]
    asking.evaluate("dispatchEvent(new Event('online'))")
    pass_time(asking, 5)
    assert waits(asking)[4:] == [1, 4]


def test_it_never_asks_twice_at_once_but_once_more_when_asked_to_meanwhile(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["late", "ok"])
    pass_time(asking, 3)
    asking.evaluate("following.now(); following.now()")
    pass_time(asking, 3)
    assert len(asked_at(asking)) == 1
    pass_time(asking, 1.5)
    assert waits(asking) == [2, 5]


@pytest.mark.parametrize("status", [401, 403, 404])
def test_signed_out_is_no_silence_and_is_asked_about_rarely(asking: Page, status: int) -> None:
    asking.evaluate(FOLLOW, [status])
    pass_time(asking, 63)
    assert asking.evaluate("seen") == ["barred", "barred", "barred"]
    assert waits(asking) == [2, 30, 30]


def test_a_sign_in_page_of_the_network_is_not_shown_as_the_lesson(asking: Page) -> None:
    asking.evaluate(FOLLOW, ["portal"])
    pass_time(asking, 2.5)
    assert asking.evaluate("seen") == [1]


@pytest.mark.parametrize(
    ("body", "kind", "status"),
    [
        ('{"problem": "paused"}', "application/json", 409),
        ("<form>Sign in to the Wi-Fi</form>", "text/html", 0),
        ('{"signed_in": false}', "text/html", 0),
        ('{"cut', "application/json", 0),
        ("7", "application/json", 0),
    ],
)
def test_an_object_of_our_server_counts_and_nothing_else(
    asking: Page, body: str, kind: str, status: int
) -> None:
    asking.evaluate(
        "([body, kind]) => { began = 0; fetch = async () =>"
        " new Response(body, { status: 409, headers: { 'Content-Type': kind } }); }",
        [body, kind],
    )
    found = asking.evaluate("asking.data('/send')")
    assert found == {"status": status, "data": {"problem": "paused"} if status else None}


def test_a_redirect_is_not_followed(browser: Browser, served: Served) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{served.address}/")
    page.route("**/moved", lambda route: route.fulfill(status=302, headers={"Location": "/"}))
    assert page.evaluate("asking.answer('/moved')") == {"status": 0, "tag": "", "type": "", "text": ""}
    context.close()
