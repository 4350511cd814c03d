"""The page that tells a phone that it gets through: no code, no sign-in, nothing kept."""

from __future__ import annotations

from flask import render_template
from flask.typing import ResponseReturnValue

from app.reach.steps import REACHED, TEST_PATH
from app.web.audience import audience, now
from app.web.phone.blueprint import blueprint


@blueprint.get(TEST_PATH)
@audience("anyone")
def reached() -> ResponseReturnValue:
    """What a phone opens to find out whether it reaches the server."""
    return render_template("bench/reached.html", reached=REACHED, now=now())
