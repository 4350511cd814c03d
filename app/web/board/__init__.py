"""The board: what the projector shows, and the lesson's report."""

from app.web.board import pages, report
from app.web.board.pages import blueprint

__all__ = ["blueprint", "pages", "report"]
