"""Who may see a page. Every route declares its audience; one that does not is refused.

anyone      no sign-in
bench       a phone that joined a bench of a practical (`g.bench`)
waiting     the same, also while its bench, beyond the plan, waits to be let in
staff       anybody who signed in (`g.teacher`): reading the archive and the kit, exports, the own account
teacher     a teacher or a head; whose practical it is, the use case decides
technician  a technician or a head: changing the kit
head        a head of department
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar

from flask import Flask, abort, current_app, g, jsonify, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext
from werkzeug import Response

from app.practicals.benches.phones import bench_ended_by_teacher, bench_for_token
from app.practicals.people import sessions
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.runs.refusals import NotLetIn
from app.records.choices import Role
from app.settings import Settings
from app.web.storage import database, settings

View = TypeVar("View", bound=Callable[..., Any])
A_YEAR_SECONDS = 31_536_000
SIGNED_IN: dict[str, frozenset[Role]] = {
    "staff": frozenset(Role),
    "teacher": frozenset({Role.TEACHER, Role.HEAD}),
    "technician": frozenset({Role.TECHNICIAN, Role.HEAD}),
    "head": frozenset({Role.HEAD}),
}
"""Audiences of those who sign in, and the roles that each is for."""
AUDIENCES = ("anyone", "bench", "waiting", *SIGNED_IN)


def audience(name: str) -> Callable[[View], View]:
    """Declare who a view is for."""
    if name not in AUDIENCES:
        raise ValueError(f"unknown audience {name!r}")

    def declare(view: View) -> View:
        view.audience = name  # type: ignore[attr-defined]
        return view

    return declare


def wire(app: Flask, config: Settings) -> None:
    """Check the audience before every view."""
    app.before_request(_admit)


def now() -> datetime:
    """The time of this request, UTC."""
    return datetime.now(UTC)


def place() -> str:
    """Where this request comes from, for counting failures alone: a digest under the signing key.

    The addresses of one network are few enough to try them all, so a plain digest of one would tell it.
    """
    return keyed_digest(request.remote_addr or "")


def this_browser() -> str:
    """Tells the browsers of one network apart, for counting failures alone: a digest of its form token."""
    return keyed_digest(str(session.get("csrf_token", "")))


def keyed_digest(text: str) -> str:
    """A digest under the signing key: nobody without it can make or try it."""
    return hmac.new(settings().secret_key.encode(), text.encode(), hashlib.sha256).hexdigest()


def cookie_name(role: str) -> str:
    """The cookie that carries a role's token; `__Host-` prefixed under https."""
    return f"__Host-plumbfall-{role}" if settings().secure else f"plumbfall-{role}"


def own_token(role: str) -> str:
    """The token of a role that this browser has; empty without one."""
    return request.cookies.get(cookie_name(role), "")


def set_token(response: Response, role: str, token: str, lasts: timedelta) -> Response:
    """Put a role's token in its cookie."""
    return set_cookie(response, cookie_name(role), token, int(lasts.total_seconds()))


def set_cookie(response: Response, name: str, value: str, seconds: int = A_YEAR_SECONDS) -> Response:
    """Put a value in a cookie that no script and no other site's form can use."""
    response.set_cookie(
        name, value, max_age=seconds, secure=settings().secure, httponly=True, samesite="Lax", path="/"
    )
    return response


def drop_token(response: Response, role: str) -> Response:
    """Take a role's token away."""
    response.delete_cookie(
        cookie_name(role), path="/", secure=settings().secure, httponly=True, samesite="Lax"
    )
    return response


def teacher_if_signed_in(*, acts: bool = False) -> TeacherIdentity | None:
    """Who is signed in here, if somebody is; `acts`: this request is something that they do."""
    return sessions.teacher_for_token(
        database(), token=own_token("teacher"), now=now(), idle=settings().idle, acts=acts
    )


def bench_if_joined() -> BenchIdentity | None:
    """The bench that reads a page that is for anyone, where its phone has joined."""
    return bench_for_token(database(), token=own_token("bench"))


def wants_json() -> bool:
    """True when the page's script asks, not a person's navigation."""
    return request.headers.get("X-Plumbfall") == "script"


def _admit() -> ResponseReturnValue | None:
    view = current_app.view_functions.get(request.endpoint or "")
    if view is None:
        return None
    declared = getattr(view, "audience", None)
    if declared == "anyone":
        return None
    if declared in ("bench", "waiting"):
        return _admit_bench(declared)
    if declared in SIGNED_IN:
        return _admit_teacher(declared)
    abort(403)


def _admit_bench(declared: str) -> ResponseReturnValue | None:
    g.bench = bench_if_joined()
    if g.bench is not None and g.bench.waits and declared == "bench":
        if wants_json():
            return jsonify(problem=gettext(NotLetIn.sentence)), 409
        return redirect(url_for("bench.waiting"))
    if g.bench is not None:
        return None
    if wants_json():
        return jsonify(problem=_no_longer_joined()), 401
    return redirect(url_for("bench.entry", again=1))


def _no_longer_joined() -> str:
    ended = bench_ended_by_teacher(database(), token=own_token("bench"))
    if ended is None:
        return gettext(
            "This phone is no longer joined to a bench. Join again with the code; your readings are kept."
        )
    return gettext(
        "Your teacher has ended this phone's place at bench %(bench)s. Join again with the code that is on"
        " the wall now; your readings are kept.",
        bench=ended,
    )


def _admit_teacher(declared: str) -> ResponseReturnValue | None:
    # What a page's script asks for by itself is no act of the teacher's.
    g.teacher = teacher_if_signed_in(acts=request.method == "POST" or not wants_json())
    if g.teacher is None:
        if wants_json():
            return jsonify(
                problem=gettext("You are signed out. Sign in again in another tab, then carry on here.")
            ), 401
        # Only a page that was being read is worth coming back to; a form is not sent again by itself.
        target = request.full_path.rstrip("?") if request.method == "GET" else ""
        return redirect(url_for("sign_in.form", then=target or None))
    if g.teacher.role not in SIGNED_IN[declared]:
        abort(403)
    return None
