"""Phones without their page: each keeps a run until a server has named it, and sends it again till then."""

from __future__ import annotations

import http.client
import json
import secrets
import urllib.error
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar
from typing import Any

READINGS = {
    "shot_mass": "340",
    "shot_mass_unit": "g",
    "tube_length": "100",
    "tube_length_unit": "cm",
    "end_allowance": "5",
    "end_allowance_unit": "cm",
    "inversions": "50",
    "start_temperature": "19,2",
    "start_temperature_unit": "°C",
    "end_temperature": "22.4",
    "end_temperature_unit": "°C",
}
CUT_OFF = (OSError, http.client.HTTPException)
"""What a phone sees of a server that ends while it answers, or that is not there."""


class Phone:
    """A phone that joined a bench; `number` is the bench's. With several servers each send names its one."""

    def __init__(self, servers: list[str], code: str, number: int, key: str = "") -> None:
        self.servers, self.number = servers, number
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        self.token = self.ask(servers[0], "/bench/token")[1]["token"]
        form = {"number": str(number), "csrf_token": self.token} | ({"key": key} if key else {})
        self.ask(servers[0], f"/j/{code}", form)

    def send(self, bench_id: int, key: str, server: int) -> dict[str, object]:
        """Send one run, through "busy" and lost answers, to this server."""
        while True:
            status, answer = self.try_to_send(bench_id, key, server)
            if status == 200:
                saved: dict[str, object] = answer["saved"]
                return saved
            assert status == 503, answer

    def try_to_send(
        self, bench_id: int, key: str, server: int = 0, **readings: str
    ) -> tuple[int, dict[str, Any]]:
        """Send one run once; the status and what the server says to a script."""
        body = {**READINGS, **readings, "key": key, "bench": str(bench_id)}
        return self.ask(self.servers[server % len(self.servers)], "/bench/send", body)

    def ask(
        self, server: str, path: str, body: dict[str, str] | None = None, timeout: float = 60
    ) -> tuple[int, dict[str, Any]]:
        """What the server answers to a script: the status, and the JSON where it is some."""
        data = None if body is None else urllib.parse.urlencode(body).encode()
        headers = {"X-Plumbfall": "script", "Accept": "application/json"}
        if body is not None:
            headers |= {"X-CSRFToken": self.token, "Referer": server}
        request = urllib.request.Request(server + path, data, headers)
        try:
            with self.opener.open(request, timeout=timeout) as answer:
                kind, content, status = answer.headers["Content-Type"], answer.read(), answer.status
        except urllib.error.HTTPError as refusal:
            kind, content, status = refusal.headers["Content-Type"], refusal.read(), refusal.code
        return status, json.loads(content) if kind.startswith("application/json") else {}


class KeepingPhone:
    """Sends run after run, and keeps the one that no server has named yet."""

    def __init__(self, phone: Phone, bench_id: int) -> None:
        self.phone, self.bench_id = phone, bench_id
        self.kept: str | None = None
        self.named: dict[str, int] = {}
        """The number that a server gave each run, by the run's key."""
        self.refused: list[tuple[int, dict[str, Any]]] = []
        """Answers that are neither a number nor "later"."""

    def send_one(self) -> bool:
        """Send the run that is kept, else the next one; whether a server named it."""
        self.kept = self.kept or secrets.token_hex(16)
        try:
            status, answer = self.phone.try_to_send(self.bench_id, self.kept)
        except CUT_OFF:
            return False
        if status != 200:
            if status != 503:
                self.refused.append((status, answer))
            return False
        self.named[self.kept] = answer["saved"]["run"]
        self.kept = None
        return True

    def asks_again(self) -> bool:
        """Whether the last run that was named gets the same number when it is sent once more."""
        if not self.named:
            return True
        key, number = list(self.named.items())[-1]
        status, answer = self.phone.try_to_send(self.bench_id, key)
        return status == 200 and answer["saved"]["run"] == number
