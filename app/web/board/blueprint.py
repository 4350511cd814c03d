"""The board's part of the addresses."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("board", __name__, url_prefix="/board")
