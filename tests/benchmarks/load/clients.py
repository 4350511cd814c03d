"""Clients that cost little: connections that stay open, requests made beforehand, one loop for them all."""

from __future__ import annotations

import selectors
import socket
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

HEAD_ENDS = b"\r\n\r\n"
LONGEST_WAIT_SECONDS = 60.0


def request_of(
    address: str, path: str, headers: Mapping[str, str] | None = None, form: Mapping[str, str] | None = None
) -> bytes:
    """A whole request, as a browser sends it."""
    body = b"" if form is None else urlencode(form).encode()
    fields = {
        "Host": address.removeprefix("http://"),
        "Accept-Encoding": "gzip, deflate",
        "Accept-Language": "en",
        **(headers or {}),
    }
    if form is not None:
        fields |= {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body))}
    method = "GET" if form is None else "POST"
    lines = (f"{method} {path} HTTP/1.1", *(f"{name}: {value}" for name, value in fields.items()))
    return "\r\n".join(lines).encode() + HEAD_ENDS + body


@dataclass
class Answers:
    """What came back: how long each took, in seconds, and what was not as expected."""

    seconds: float = 0.0
    waits: list[float] = field(default_factory=list)
    unexpected: list[bytes] = field(default_factory=list)

    @property
    def per_second(self) -> float:
        """Answers in a second; none may be unexpected."""
        if self.unexpected:
            raise RuntimeError(
                f"{len(self.unexpected)} unexpected answers, one: {self.unexpected[0][:400]!r}"
            )
        return len(self.waits) / self.seconds


class Client:
    """A browser's one connection: it asks the next thing when it is told to.

    Where the server ends the connection with its answer, as waitress does with every 304, it opens another.
    """

    def __init__(self, address: str, asks: Iterator[bytes], status: int = 200) -> None:
        host, port = address.removeprefix("http://").split(":")
        self.place = (host, int(port))
        self.socket: socket.socket | None = None
        self.asks, self.expected = asks, b" %d " % status
        self.asked_at, self.got = 0.0, b""

    def ask(self, waiting: selectors.BaseSelector) -> bool:
        """Send the next request; False where there is none."""
        wanted = next(self.asks, None)
        if wanted is None:
            self.close(waiting)
            return False
        self.send(wanted, waiting)
        return True

    def send(self, wanted: bytes, waiting: selectors.BaseSelector) -> None:
        """Send this request, on a new connection where there is none."""
        self.got, self.asked_at = b"", time.perf_counter()
        if self.socket is None:
            self.socket = socket.create_connection(self.place, timeout=LONGEST_WAIT_SECONDS)
            self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            waiting.register(self.socket, selectors.EVENT_READ, self)
        self.socket.sendall(wanted)

    def close(self, waiting: selectors.BaseSelector) -> None:
        """Hang up."""
        if self.socket is not None:
            waiting.unregister(self.socket)
            self.socket.close()
            self.socket = None

    def take(self, waiting: selectors.BaseSelector) -> bytes | None:
        """What has arrived; the whole answer once it is there."""
        assert self.socket is not None
        more = self.socket.recv(1 << 16)
        if not more:
            raise ConnectionError("the server closed a connection in the middle")
        self.got += more
        if not is_whole(self.got):
            return None
        if b"connection: close" in self.got[: self.got.find(HEAD_ENDS)].lower():
            self.close(waiting)
        return self.got


def is_whole(got: bytes) -> bool:
    """Whether these bytes are an answer with all of its body."""
    end = got.find(HEAD_ENDS)
    if end < 0:
        return False
    if got[9:12] in (b"304", b"204"):
        return True
    named = got.lower().find(b"content-length:", 0, end)
    length = int(got[named + 15 : got.index(b"\r", named)])
    return len(got) >= end + len(HEAD_ENDS) + length


def ask_all(clients: list[Client]) -> Answers:
    """Let every client ask all that it has, each one thing at a time."""
    answers = Answers()
    with selectors.DefaultSelector() as waiting:
        began = time.perf_counter()
        busy = sum(client.ask(waiting) for client in clients)
        while busy:
            ready = waiting.select(LONGEST_WAIT_SECONDS)
            if not ready:
                raise TimeoutError(f"no answer in {LONGEST_WAIT_SECONDS:.0f} s")
            for key, _ in ready:
                client = key.data
                answer = client.take(waiting)
                if answer is None:
                    continue
                answers.waits.append(time.perf_counter() - client.asked_at)
                if client.expected not in answer[:16]:
                    answers.unexpected.append(answer)
                busy -= not client.ask(waiting)
        answers.seconds = time.perf_counter() - began
    return answers
