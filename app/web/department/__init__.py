"""Pages for the department: the archive, the kit and the people."""

from app.web.department.pages import blueprint

__all__ = ["blueprint"]
