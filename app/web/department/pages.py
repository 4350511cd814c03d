"""The department's first page."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("department", __name__, url_prefix="/department")
