"""Answer headers, form tokens, addresses and the proxy: what every page has in common for safety."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from flask import Flask, Response
from flask_wtf.csrf import CSRFProtect
from werkzeug.middleware.proxy_fix import ProxyFix
from werkzeug.routing import IntegerConverter, Map

from app.settings import Settings

# No inline script or style anywhere; nothing from a third party.
POLICY = (
    "default-src 'none'; object-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), screen-wake-lock=(self)",
    "Cross-Origin-Opener-Policy": "same-origin",
}

LARGEST = 2**31 - 1
"""PostgreSQL's integer, the smaller of the two (its manual, "Numeric Types")."""


def wire(app: Flask, settings: Settings) -> None:
    """Form tokens that last a whole lesson, safe cookies, headers, a proxy. Before any route."""
    app.config.update(
        WTF_CSRF_TIME_LIMIT=None,
        WTF_CSRF_SSL_STRICT=False,
        SESSION_COOKIE_NAME="__Host-plumbfall-form" if settings.secure else "plumbfall-form",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=settings.secure,
        SESSION_COOKIE_PATH="/",
        MAX_CONTENT_LENGTH=256 * 1024,
        MAX_FORM_MEMORY_SIZE=256 * 1024,
    )
    app.url_map.converters["int"] = KeptNumber
    CSRFProtect(app)
    app.after_request(_add_headers)
    if settings.secure:
        app.after_request(_insist_on_https)
    if settings.proxy_hops:
        hops = settings.proxy_hops
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops)  # type: ignore[method-assign]


def _add_headers(response: Response) -> Response:
    if "Location" in response.headers:  # no page leads elsewhere, whatever host the request named
        path = urlsplit(response.headers["Location"])._replace(scheme="", netloc="")
        response.headers["Location"] = path.geturl()
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    # Answers carry readings, codes and form tokens: nothing keeps them. Files and figures say otherwise.
    response.headers.setdefault("Cache-Control", "no-store")
    return response


def _insist_on_https(response: Response) -> Response:
    """A browser that was here once by https never tries without (RFC 6797)."""
    response.headers["Strict-Transport-Security"] = "max-age=31536000"
    return response


def kept_number(typed: str) -> int:
    """A number in an address, behind its question mark. Raises `ValueError` where no row can have it."""
    number = int(typed)
    if not 0 <= number <= LARGEST:
        raise ValueError("nothing has this number")
    return number


class KeptNumber(IntegerConverter):
    """A whole number in an address, none larger than both databases keep: a made-up one is just not found."""

    def __init__(self, map: Map, *args: Any, **options: Any) -> None:
        super().__init__(map, *args, **{"max": LARGEST, **options})


def local_address(target: str | None) -> str:
    """The address to go on to, if it is one of ours.

    Browsers drop tabs and line ends and take a backslash for a slash (WHATWG URL, "basic URL parser"), so an
    address with any of them is not gone to at all.
    """
    if not target or not target.startswith("/") or target.startswith("//") or urlsplit(target).netloc:
        return ""
    odd = any(character == "\\" or not character.isprintable() for character in target)
    return "" if odd else target
