"""The board: what the projector shows, and the lesson's report."""

from app.web.board import report  # noqa: F401 - adds its pages to the blueprint
from app.web.board.pages import blueprint

__all__ = ["blueprint"]
