"""The department's blueprint."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("department", __name__, url_prefix="/department")
