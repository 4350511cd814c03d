"""Sign-ins that flood a real server hold neither its phones nor a teacher whose browser it knows."""

from __future__ import annotations

import secrets
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections import Counter
from collections.abc import Iterator
from http.cookiejar import CookieJar
from pathlib import Path

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.records.models import Run
from tests.faults.phones import Phone
from tests.practicals.a_class import PASSWORD, AClass
from tests.practicals.seen import count
from tests.serving import PROGRAM, Served, serving

THREADS = 8
FLOOD = 5 * THREADS
SLOW = "a password that takes its time"
# A server in which this one password is hashed until the file is there, however quick the processor is.
HOLDING = f"""
import pathlib, time
from app.practicals.people import passwords
class Holding:
    def __init__(self, hasher): self.hash, self._hasher = hasher.hash, hasher
    def verify(self, stored, password):
        while password == {SLOW!r} and not pathlib.Path("{{let_go}}").exists(): time.sleep(0.02)
        return self._hasher.verify(stored, password)
passwords.HASHER = Holding(passwords.HASHER)
{PROGRAM}
"""


class Browser:
    """A browser with its cookies and its form token."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.opener = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(CookieJar()), _NoRedirect()
        )
        with self.opener.open(f"{address}/bench/token", timeout=60) as answer:
            self.token = answer.read().decode().split('"')[3]

    def post(self, path: str, **form: str) -> tuple[int, dict[str, str], str]:
        """The status, the headers and the page."""
        body = urllib.parse.urlencode({"csrf_token": self.token, **form}).encode()
        try:
            with self.opener.open(f"{self.address}{path}", body, timeout=60) as answer:
                return answer.status, dict(answer.headers), answer.read().decode()
        except urllib.error.HTTPError as refused:
            return refused.code, dict(refused.headers), refused.read().decode()


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args: object) -> None:
        return None


@pytest.fixture
def let_go(tmp_path: Path) -> Path:
    return tmp_path / "let-go"


@pytest.fixture
def served(tmp_path: Path, let_go: Path) -> Iterator[Served]:
    program = HOLDING.replace("{let_go}", str(let_go))
    with serving(tmp_path / "served", program=program, PLUMBFALL_THREADS=str(THREADS)) as running:
        try:
            yield running
        finally:
            let_go.touch()


@pytest.mark.long
def test_while_hashing_is_full_a_phone_sends_and_a_known_browser_signs_in(
    served: Served, let_go: Path
) -> None:
    one = served.a_class(planned_benches=3)
    known = Browser(served.address)
    assert known.post("/sign-in", login=one.teacher.login, password=PASSWORD)[0] == 302
    assert known.post("/sign-out")[0] == 302
    phone, bench_id = _joined_phone(served, one)
    stranger, answers, lock = Browser(served.address), Counter[int](), threading.Lock()

    def sign_in(number: int) -> None:
        status, _, _ = stranger.post("/sign-in", login=f"nobody-{number}", password=SLOW)
        with lock:
            answers[status] += 1

    flood = [threading.Thread(target=sign_in, args=(number,)) for number in range(FLOOD)]
    for thread in flood:
        thread.start()
    try:
        for _ in range(3000):  # a server that holds every thread would never get there
            if answers[503] and sum(answers.values()) >= FLOOD - THREADS:
                break
            time.sleep(0.02)
        assert answers[503], "who comes on top is turned away at once"
        status, headers, page = stranger.post("/sign-in", login="mrs-late", password=PASSWORD)
        assert (status, headers.get("Retry-After")) == (503, "2")
        assert "Too many people are signing in just now. Try again in a moment." in page
        assert 'value="mrs-late"' in page
        assert phone.send(bench_id, secrets.token_hex(16), 0)["run"] == 1
        assert known.post("/sign-in", login=one.teacher.login, password=PASSWORD)[0] == 302
        held = FLOOD - sum(answers.values())
        assert 0 < held < THREADS, "all this while others were still being hashed"
    finally:
        let_go.touch()
        for thread in flood:
            thread.join()
    assert set(answers) == {422, 503} or set(answers) == {422, 429, 503}
    assert count(served.database, Run) == 1


def _joined_phone(served: Served, one: AClass) -> tuple[Phone, int]:
    """A phone of bench 1, and the bench."""
    phone = Phone([served.address], one.practical.join_code or "", 1)
    (bench,) = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    return phone, bench.bench_id
