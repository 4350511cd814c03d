"""The parts of the pages side by side, for those who change them; there only while debugging."""

from __future__ import annotations

from flask import Blueprint, Flask, render_template
from flask.typing import ResponseReturnValue

from app.look.stylesheet import SURFACES
from app.settings import Settings
from app.web.audience import audience
from app.words import Message

blueprint = Blueprint("look", __name__)


def wire(app: Flask, settings: Settings) -> None:
    """Offer the page where Flask's debugging is on, and nowhere else."""
    if app.debug:
        app.register_blueprint(blueprint)


@blueprint.get("/look")
@audience("anyone")
def parts() -> ResponseReturnValue:
    """Every part on every surface, in both directions."""
    steps = [Message("one"), Message("two"), Message("three"), Message("four"), Message("five")]
    return render_template("look.html", surfaces=SURFACES, steps=steps)
