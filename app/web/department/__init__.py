"""Pages for the department: the archive, the kit and the people."""

from app.web.department import archive, keeping, log, over_years, person, sign_in, teachers, year
from app.web.department.archive import blueprint

__all__ = [
    "archive",
    "blueprint",
    "keeping",
    "log",
    "over_years",
    "person",
    "sign_in",
    "teachers",
    "year",
]
