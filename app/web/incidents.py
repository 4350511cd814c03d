"""What the server's log says of requests: sign-ins, refused requests, failures of the storage and of ours.

A line has the route as it is declared, never the address that was asked for (it may hold a code), and numbers
of accounts and benches. `place` is a digest under the signing key: it tells one client from another and is no
address.
"""

from __future__ import annotations

from typing import Any

from flask import Flask, Response, g, request

from app.records.errors import DatabaseBusy, StorageProblem
from app.server_log import LOG
from app.settings import Settings
from app.web.audience import place

REFUSED = frozenset({400, 401, 403, 404, 405, 408, 410, 413, 429, 503})
"""What somebody may not do, or too often; a form that was filled in wrongly (422) is no incident."""


def wire(app: Flask, settings: Settings) -> None:
    """Look at every answer on its way out."""
    app.after_request(_tell)


def signed_in(teacher_id: int) -> None:
    """A session began."""
    LOG.info("signed in", teacher=teacher_id, place=_place())


def sign_in_failed(pause_seconds: int) -> None:
    """A wrong name or password, or an attempt within the pause that earlier ones earned."""
    g.told = True
    LOG.warning("sign-in failed", pause_s=pause_seconds, place=_place())


def storage_failed(problem: StorageProblem) -> None:
    """The records could not be read or written."""
    g.told = True
    say = LOG.warning if isinstance(problem, DatabaseBusy) else LOG.error
    say("storage", kind=type(problem).__name__, **_where())


def failed_of_our_own() -> None:
    """An error that nobody foresaw is being handled."""
    g.told = True
    LOG.error("unexpected failure", exc_info=True, **_where())


def _tell(response: Response) -> Response:
    if response.status_code in REFUSED and not g.get("told", False):
        LOG.warning("refused", status=response.status_code, **_where())
    return response


def _where() -> dict[str, Any]:
    route = request.url_rule.rule if request.url_rule else "none"
    teacher, bench = g.get("teacher"), g.get("bench")
    who = {"teacher": teacher.teacher_id} if teacher else {"bench": bench.bench_id} if bench else {}
    return {"method": request.method, "route": route, **who, "place": _place()}


def _place() -> str:
    return place()[:12]
