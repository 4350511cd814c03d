"""Phones as a server sees them: who joined which bench, and the requests that they send."""

from __future__ import annotations

import json
import secrets
import urllib.request
from dataclasses import dataclass

from app.practicals.benches.joining import join_bench
from tests.benchmarks.load.clients import request_of
from tests.faults.phones import READINGS
from tests.practicals.a_class import AClass
from tests.serving import Served


@dataclass(frozen=True)
class Phone:
    """A phone that speaks for a bench, with its cookies and its form token."""

    address: str
    bench_id: int
    headers: dict[str, str]

    def send(self) -> tuple[str, bytes]:
        """A new run, with its key."""
        key = secrets.token_hex(16)
        form = {**READINGS, "key": key, "bench": str(self.bench_id), "waiting": "0"}
        return key, request_of(self.address, "/bench/send", self.headers, form)

    def watch(self, tag: str) -> bytes:
        """Whether the wall shows something new."""
        return request_of(self.address, "/bench/class", {**self.headers, "If-None-Match": tag})


def joined(served: Served, lesson: AClass, number: int, form: tuple[str, str] | None = None) -> Phone:
    """A phone at the bench of this number; `form`: a form token and its cookie, where there are some."""
    code = lesson.practical.join_code or ""
    joined = join_bench(lesson.database, code=code, bench_number=number, now=lesson.practical.created_at)
    token, cookie = form or form_token(served.address)
    headers = {
        "Cookie": f"plumbfall-bench={joined.token}; {cookie}",
        "X-CSRFToken": token,
        "X-Plumbfall": "script",
        "Accept": "application/json",
    }
    return Phone(served.address, joined.bench.bench_id, headers)


def form_token(address: str) -> tuple[str, str]:
    """A form token of this server, and the cookie that it belongs to."""
    with urllib.request.urlopen(f"{address}/bench/token", timeout=60) as answer:
        cookie = answer.headers["Set-Cookie"].split(";", 1)[0]
        return json.loads(answer.read())["token"], cookie
