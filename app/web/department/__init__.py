"""Pages for the department: the archive, the kit and the people."""

from app.web.department import account, archive, keeping, log, sign_in, teachers, ways_in
from app.web.department.archive import blueprint

__all__ = ["account", "archive", "blueprint", "keeping", "log", "sign_in", "teachers", "ways_in"]
