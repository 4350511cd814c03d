"""Switching the language of the pages on this device."""

from __future__ import annotations

from flask import Blueprint, redirect, request
from flask.typing import ResponseReturnValue

from app.web.audience import audience
from app.web.department.sign_in import local_address
from app.web.languages import COOKIE, LANGUAGES
from app.web.storage import settings

blueprint = Blueprint("language", __name__)
A_YEAR_SECONDS = 31_536_000


@blueprint.post("/language")
@audience("anyone")
def switch() -> ResponseReturnValue:
    """Keep the chosen language in a cookie and go back to the page."""
    response = redirect(local_address(request.form.get("then")) or "/")
    chosen = request.form.get("language", "")
    if chosen in LANGUAGES:
        response.set_cookie(
            COOKIE, chosen, max_age=A_YEAR_SECONDS, secure=settings().secure, httponly=True, samesite="Lax"
        )
    return response
