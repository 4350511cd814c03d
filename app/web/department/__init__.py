"""Pages for the department: the archive, the kit and the people."""

from app.web.department import account, archive, log, sign_in, teachers, ways_in
from app.web.department.archive import blueprint

__all__ = ["account", "archive", "blueprint", "log", "sign_in", "teachers", "ways_in"]
