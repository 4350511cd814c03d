"""A phone without script: it follows links, fills forms and reads pages."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import unescape
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

on_both_databases = pytest.mark.parametrize("database", ["sqlite", "postgresql"], indirect=True)
KEY = "0123456789abcdef" * 2
READINGS = {
    "shot_mass": "340",
    "tube_length": "100",
    "end_allowance": "5",
    "start_temperature": "19.2",
    "inversions": "50",
    "end_temperature": "21.4",
}


class Phone:
    """Posts forms with their hidden fields, as a browser would."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client
        self.page: TestResponse | None = None

    @property
    def text(self) -> str:
        """The page as text, entities resolved, without what is there for a script only."""
        assert self.page is not None
        page = self.page.get_data(as_text=True)
        return unescape(re.sub(r"<template>.*?</template>", "", page, flags=re.DOTALL))

    @property
    def path(self) -> str:
        """The address of the page after redirects."""
        assert self.page is not None
        return self.page.request.path

    def open(self, path: str, **kwargs: Any) -> TestResponse:
        """Go to an address."""
        self.page = self.client.get(path, follow_redirects=True, **kwargs)
        return self.page

    def form(self) -> dict[str, Any]:
        """The fields of the page's main form as they stand; a list where a name occurs several times."""
        fields: dict[str, Any] = {}
        for tag in re.findall(r"<input [^>]*>", self.text):
            name, value = re.search(r' name="([^"]*)"', tag), re.search(r' value="([^"]*)"', tag)
            if name:
                said = unescape(value[1]) if value else ""
                before = fields.get(name[1])
                if before is None or 'type="radio"' in tag:
                    fields[name[1]] = said
                else:
                    fields[name[1]] = [*(before if isinstance(before, list) else [before]), said]
        for name_, options in re.findall(r'<select name="([^"]*)".*?>(.*?)</select>', self.text):
            chosen = re.search(r"<option selected>([^<]*)", options)
            fields[name_] = chosen[1] if chosen else ""
        return fields

    def send(self, path: str, fields: Mapping[str, object], follow: bool = True) -> TestResponse:
        """Post a form; its token comes from the page."""
        token = self.client.get("/bench/token").json
        assert token is not None
        data = {"csrf_token": token["token"], **fields}
        self.page = self.client.post(path, data=data, follow_redirects=follow)
        return self.page

    def step(self, go: str = "next", **typed: str) -> TestResponse:
        """Fill in the run's form where it stands and press a button."""
        return self.send(self.path, {**self.form(), "go": go, **typed})

    def take(self, label: str, at: str = "", **typed: str) -> TestResponse:
        """Press the button that offers another reading in place of the one asked about."""
        assert self.page is not None
        page = self.page.get_data(as_text=True)
        offers = re.findall(r'<button name="take" value="([^"]*)"[^>]*>([^<]*)</button>', page)
        (value,) = [unescape(value) for value, said in offers if said == label and value != "{}"]
        return self.send(at or self.path, {**self.form(), "take": value, **typed})

    def ask(self, path: str, fields: dict[str, object]) -> TestResponse:
        """Post as the page's script does."""
        token = self.client.get("/bench/token").json
        assert token is not None
        return self.client.post(
            path, data=fields, headers={"X-Plumbfall": "script", "X-CSRFToken": token["token"]}
        )

    def join(self, code: str, number: int) -> None:
        """Join a bench and read the safety step."""
        self.send(f"/j/{code}", {"number": str(number)})
        self.send("/bench/safety", {})
