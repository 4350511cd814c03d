"""Phones that stop in the middle of a request keep nobody else waiting, and nothing odd stops the server."""

from __future__ import annotations

import socket
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from tests.serving import Served, serving

THREADS, STALLED = 4, 40
HEAD = b"GET /sign-in HTTP/1.1\r\nHost: phones\r\n"
BODY = (
    b"POST /code HTTP/1.1\r\nHost: phones\r\nContent-Type: application/x-www-form-urlencoded\r\n"
    b"Content-Length: 1000\r\n\r\ncode="
)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(tmp_path_factory.mktemp("stalled"), PLUMBFALL_THREADS=str(THREADS)) as running:
        yield running


def connected(served: Served) -> socket.socket:
    host, _, port = served.address.removeprefix("http://").partition(":")
    return socket.create_connection((host, int(port)), timeout=20)


@pytest.mark.parametrize("half", [HEAD, BODY], ids=["half a head", "half a body"])
def test_more_stalled_phones_than_threads_keep_nobody_waiting(served: Served, half: bytes) -> None:
    with ExitStack() as stack:
        for _ in range(STALLED):
            stack.enter_context(connected(served)).sendall(half)
        with urllib.request.urlopen(f"{served.address}/sign-in", timeout=20) as answer:
            assert answer.status == 200


def test_the_server_does_not_say_what_it_is_made_of(served: Served) -> None:
    with urllib.request.urlopen(f"{served.address}/sign-in", timeout=20) as answer:
        assert answer.headers["Server"] is None


@pytest.mark.parametrize("size", [300_000, 2_000_000], ids=["300 kB", "2 MB"])
def test_a_body_far_beyond_a_run_is_refused_with_a_sentence(served: Served, size: int) -> None:
    request = urllib.request.Request(f"{served.address}/code", b"code=" + b"x" * size)
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=20)
    assert refused.value.code == 413
    assert b"far more than a run" in refused.value.read()
