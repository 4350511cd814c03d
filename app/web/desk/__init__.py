"""Pages for the teacher: the desk, the planner and the cards."""

from app.web.desk.pages import blueprint

__all__ = ["blueprint"]
