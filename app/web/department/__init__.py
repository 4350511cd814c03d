"""Pages for the department: the archive, the kit and the people."""

from app.web.department import pages, teacher_pages
from app.web.department.blueprint import blueprint

__all__ = ["blueprint", "pages", "teacher_pages"]
