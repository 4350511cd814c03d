"""The blueprint of the department's pages, and how their forms answer."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, url_for
from werkzeug import Response

blueprint = Blueprint("department", __name__, url_prefix="/department")


def done(said: str, endpoint: str, **values: Any) -> Response:
    """Lead on to a page that says what was done."""
    flash(said, "good")
    return redirect(url_for(endpoint, **values), 303)
