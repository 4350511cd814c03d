"""The desk's blueprint, and the filters its templates write with."""

from __future__ import annotations

from datetime import date

from flask import Blueprint
from flask_babel import format_date

from app.physics.materials import MATERIALS
from app.web.languages import say

blueprint = Blueprint("desk", __name__, url_prefix="/desk")


@blueprint.app_template_filter("day")
def day(value: date) -> str:
    """A day, as it is written in the reader's language."""
    return format_date(value, "d MMMM y")


@blueprint.app_template_filter("metal_name")
def metal_name(key: str) -> str:
    """A metal's name in the reader's language; its key where an older record names one we do not know."""
    return say(MATERIALS[key].name) if key in MATERIALS else key
