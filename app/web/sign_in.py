"""Signing a teacher in and out."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import Blueprint, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.practicals import teachers, upkeep
from app.web.audience import audience, cookie_name, drop_token, now, place, set_token
from app.web.storage import database, settings

blueprint = Blueprint("sign_in", __name__)


@blueprint.get("/sign-in")
@audience("anyone")
def form() -> ResponseReturnValue:
    """The sign-in form."""
    return render_template(
        "desk/sign_in.html", login="", then=local_address(request.args.get("then")), problem=None
    )


@blueprint.post("/sign-in")
@audience("anyone")
def sign_in() -> ResponseReturnValue:
    """Check the password and start a session."""
    login, then = request.form.get("login", "").strip()[:200], local_address(request.form.get("then"))
    try:
        signed = teachers.sign_in(
            database(),
            login=login,
            password=request.form.get("password", "")[:1000],
            address=place(),
            now=now(),
            earlier_token=request.cookies.get(cookie_name("teacher"), ""),
        )
    except teachers.SignInRefused as refusal:
        page = render_template("desk/sign_in.html", login=login, then=then, problem=refusal.message)
        return page, 429 if refusal.retry_after_seconds else 422
    upkeep.tidy(database(), now=now(), today=settings().local_day(now()))
    return set_token(
        redirect(then or url_for("desk.home")), "teacher", signed.token, days=teachers.SESSION_HOURS / 24
    )


@blueprint.post("/sign-out")
@audience("teacher")
def sign_out() -> ResponseReturnValue:
    """End the session on the server and on this machine."""
    teachers.sign_out(database(), token=request.cookies.get(cookie_name("teacher"), ""), now=now())
    g.teacher = None
    return drop_token(redirect(url_for("sign_in.form")), "teacher")


def local_address(target: str | None) -> str:
    """The address to go on to, if it is one of ours.

    Browsers drop tabs and line ends and take a backslash for a slash (WHATWG URL, "basic URL parser"), so an
    address with any of them is not gone to at all.
    """
    if not target or not target.startswith("/") or target.startswith("//") or urlsplit(target).netloc:
        return ""
    odd = any(character == "\\" or not character.isprintable() for character in target)
    return "" if odd else target
