"""Connections that are opened and left keep nobody out; requests that never end are ended."""

from __future__ import annotations

import select
import socket
import time
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from app.connections import UNFINISHED_OF_ONE_ADDRESS
from tests.serving import PROGRAM, Served, serving

HALF = b"GET /sign-in HTTP/1.1\r\nHost: phones\r\n"
WHOLE = HALF + b"\r\n"
ANOTHER_ADDRESS = "127.0.0.2"


pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def limited(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A server whose limits a test can reach."""
    limits = "import app.connections as limits; limits.CONNECTIONS = 50; limits.HEAD_SECONDS = 1.5"
    with serving(tmp_path_factory.mktemp("limited"), program=f"{limits}; {PROGRAM}") as running:
        yield running


def _opened(served: Served, sent: bytes, source: str = "127.0.0.1") -> socket.socket:
    host, _, port = served.address.removeprefix("http://").partition(":")
    connection = socket.create_connection((host, int(port)), timeout=20, source_address=(source, 0))
    connection.sendall(sent)
    return connection


def _answered(served: Served) -> bool:
    with urllib.request.urlopen(f"{served.address}/sign-in", timeout=20) as answer:
        return bool(answer.status == 200)


def _wait_until_ended(connection: socket.socket) -> bool:
    connection.settimeout(20)
    try:
        while connection.recv(65536):
            pass
    except ConnectionResetError:
        pass
    except TimeoutError:
        return False
    return True


def _left(connections: list[socket.socket]) -> int:
    """How many of these the server has not ended."""
    watching = select.poll()
    for connection in connections:
        watching.register(connection, select.POLLIN)
    return len(connections) - len(watching.poll(0))


def test_more_half_open_connections_than_places_keep_no_phone_out(tmp_path: Path) -> None:
    with serving(tmp_path) as served, ExitStack() as stack:
        half = [stack.enter_context(_opened(served, HALF)) for _ in range(1100)]
        assert _answered(served)
        for _ in range(200):
            if _left(half) <= UNFINISHED_OF_ONE_ADDRESS:
                break
            time.sleep(0.1)
        assert 0 < _left(half) <= UNFINISHED_OF_ONE_ADDRESS, "that many of one address are well above a class"
        assert _answered(served)


def test_a_request_that_comes_a_byte_at_a_time_is_ended(limited: Served) -> None:
    with _opened(limited, HALF) as dripping:
        begun = time.monotonic()
        try:
            while time.monotonic() - begun < 20:
                dripping.sendall(b"X")
                if _left([dripping]) == 0:
                    break
                time.sleep(0.2)
        except (BrokenPipeError, ConnectionResetError):
            pass
        assert time.monotonic() - begun < 20, "silence alone would never have ended it"
        assert _answered(limited)


@pytest.mark.parametrize("sent", [WHOLE, HALF], ids=["idle", "half open"])
def test_when_all_places_are_taken_the_oldest_makes_room_and_another_address_keeps_its_own(
    limited: Served, sent: bytes
) -> None:
    with ExitStack() as stack:
        phone = stack.enter_context(_opened(limited, HALF, ANOTHER_ADDRESS))
        taken = []
        for _ in range(37):
            taken.append(stack.enter_context(_opened(limited, sent)))
            assert sent == HALF or taken[-1].recv(65536).startswith(b"HTTP/1.1 200")
        assert all(_answered(limited) for _ in range(5))
        assert _wait_until_ended(taken[0])
        phone.sendall(b"\r\n")
        assert phone.recv(65536).startswith(b"HTTP/1.1 200"), "begun first, and not given up"
