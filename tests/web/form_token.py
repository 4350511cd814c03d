"""The token that a browser sends with its forms, read once for as long as its cookie stays the same."""

from __future__ import annotations

import re
from weakref import WeakKeyDictionary

from flask.testing import FlaskClient

TOKEN = re.compile(r'name="csrf_token" value="([^"]+)"')
_KNOWN: WeakKeyDictionary[FlaskClient, tuple[str, str]] = WeakKeyDictionary()


def form_token(client: FlaskClient, page: str = "/sign-in") -> str:
    """From a page that this browser may open."""
    cookie, token = _KNOWN.get(client, ("", ""))
    if not cookie or cookie != _cookie(client):
        found = TOKEN.search(client.get(page).get_data(as_text=True))
        assert found
        token = found[1]
        _KNOWN[client] = _cookie(client), token
    return token


def _cookie(client: FlaskClient) -> str:
    kept = client.get_cookie("plumbfall-form")
    return kept.value if kept else ""
