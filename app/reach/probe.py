"""Whether this server answers at an address, asked from the machine that it runs on."""

from __future__ import annotations

from enum import StrEnum
from urllib.parse import urlsplit

from app.reach.addresses import as_address, resolved

WITHIN_SECONDS = 3.0
"""How long the server may take to answer itself: our own choice."""
ALIVE = b"alive\n"
"""What the route /health answers."""


class Answer(StrEnum):
    """What came back."""

    OURS = "ours"
    OTHER = "other"
    REFUSED = "refused"
    SILENT = "silent"
    UNTRUSTED = "untrusted"
    NO_SUCH_NAME = "no such name"


def probe(address: str) -> Answer:
    """What answers at an address, past any proxy for the way out. Who sends elsewhere is not our server."""
    # A fifth of what the commands load, and only this needs them.
    import http.client  # noqa: PLC0415
    import urllib.error  # noqa: PLC0415
    import urllib.request  # noqa: PLC0415

    class NoRedirect(urllib.request.HTTPRedirectHandler):
        def redirect_request(self, *_more: object) -> None:
            """No request follows."""

    host = urlsplit(address).hostname or ""
    if as_address(host) is None and not resolved(host):
        return Answer.NO_SUCH_NAME
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}), NoRedirect)
    try:
        with direct.open(f"{address}/health", timeout=WITHIN_SECONDS) as answer:
            return Answer.OURS if answer.read(len(ALIVE) + 1) == ALIVE else Answer.OTHER
    except (urllib.error.HTTPError, http.client.HTTPException):
        return Answer.OTHER
    except urllib.error.URLError as problem:
        return _why(problem.reason)
    except OSError as problem:
        return _why(problem)


def _why(reason: object) -> Answer:
    import ssl  # noqa: PLC0415

    if isinstance(reason, ssl.SSLCertVerificationError):
        return Answer.UNTRUSTED
    if isinstance(reason, ssl.SSLError):
        return Answer.OTHER
    return Answer.REFUSED if isinstance(reason, ConnectionRefusedError) else Answer.SILENT
