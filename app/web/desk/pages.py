"""The teacher's first page."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from app.web.audience import audience

blueprint = Blueprint("desk", __name__, url_prefix="/desk")


@blueprint.get("/")
@audience("teacher")
def home() -> ResponseReturnValue:
    """The teacher's practicals."""
    return render_template("desk/home.html")
