"""Pages for the department: the archive, the kit and the people."""

from app.web.department import archive, export, log, sign_in, teachers
from app.web.department.archive import blueprint

__all__ = ["archive", "blueprint", "export", "log", "sign_in", "teachers"]
