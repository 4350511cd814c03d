"""How often a phone tries to send, on a clock of the test's own."""

from __future__ import annotations

import pytest

from tests.browser.phone.phone import Phone

pytestmark = pytest.mark.browser
NOBODY_ANSWERS = """() => {
    window.tries = []; window.began = Date.now();
    Math.random = () => 0.5;
    window.fetch = async (address) => {
      if (address.endsWith('/bench/send')) tries.push(Date.now() - began);
      throw new TypeError('no network');
    };
}"""
UNSEEN = "() => Object.defineProperty(document, 'hidden', { get: () => true })"


def tried_at(phone: Phone) -> list[float]:
    """Seconds from pressing Send to each try."""
    return [round(milliseconds / 1000, 1) for milliseconds in phone.page.evaluate("tries")]


def pass_time(phone: Phone, seconds: float) -> None:
    """Let so much of the page's own time pass, in small steps: what a try brings about comes between two."""
    for _ in range(int(seconds * 2)):
        phone.page.clock.run_for(500)


@pytest.fixture
def unheard(phone: Phone) -> Phone:
    """A phone that nobody answers, with time standing still."""
    phone.page.clock.install(time=0)
    phone.page.clock.pause_at(1)
    phone.page.evaluate(NOBODY_ANSWERS)
    return phone


@pytest.mark.parametrize("seen", [True, False], ids=["seen", "face down"])
def test_an_unsent_run_is_tried_ever_less_often_whether_the_page_is_seen_or_not(
    unheard: Phone, seen: bool
) -> None:
    if not seen:
        unheard.page.evaluate(UNSEEN)
    unheard.send()
    pass_time(unheard, 136)
    assert tried_at(unheard) == [0, 3, 9, 21, 45, 90, 135]


def test_a_phone_that_is_looked_at_again_tries_at_once(unheard: Phone) -> None:
    unheard.send()
    pass_time(unheard, 46)
    unheard.page.evaluate("() => { document.dispatchEvent(new Event('visibilitychange')); }")
    pass_time(unheard, 4)
    assert tried_at(unheard) == [0, 3, 9, 21, 45, 46, 49]


def test_pressing_try_now_tries_at_once(unheard: Phone) -> None:
    unheard.send()
    pass_time(unheard, 11)
    unheard.page.evaluate("() => { document.querySelector('[data-now]').click(); }")
    assert tried_at(unheard) == [0, 3, 9, 11]


def test_a_phone_with_nothing_to_send_asks_nothing(unheard: Phone) -> None:
    unheard.page.evaluate("() => { dispatchEvent(new Event('online')); }")
    pass_time(unheard, 60)
    assert tried_at(unheard) == []


def test_a_tab_waits_while_another_tab_sends_but_not_for_ever(unheard: Phone) -> None:
    unheard.page.evaluate(
        """() => localStorage.setItem(
            'plumbfall-sending', JSON.stringify({ tab: 'another', until: Date.now() + 5000 }))"""
    )
    unheard.send()
    pass_time(unheard, 9.5)
    assert tried_at(unheard) == [6, 9]
