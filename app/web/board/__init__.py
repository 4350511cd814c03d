"""The board: what the projector shows."""

from app.web.board.pages import blueprint

__all__ = ["blueprint"]
