"""The first page of a phone."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from app.web.audience import audience

blueprint = Blueprint("bench", __name__)


@blueprint.get("/")
@audience("anyone")
def entry() -> ResponseReturnValue:
    """Ask for the code of the practical."""
    return render_template("bench/entry.html")
