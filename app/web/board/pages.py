"""The board's page."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("board", __name__, url_prefix="/board")
