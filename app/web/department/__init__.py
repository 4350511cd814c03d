"""Pages for the department: the archive, the kit and the people."""

from app.web.department import archive, export, keeping, log, over_years, sign_in, teachers, year
from app.web.department.archive import blueprint

__all__ = ["archive", "blueprint", "export", "keeping", "log", "over_years", "sign_in", "teachers", "year"]
