"""Pages for the department: the archive, the kit and the people."""

from app.web.department import (
    account,
    archive,
    bring_in,
    export,
    keeping,
    kit,
    log,
    over_years,
    past_table,
    person,
    sign_in,
    teachers,
    ways_in,
    year,
)
from app.web.department.archive import blueprint

__all__ = [
    "account",
    "archive",
    "blueprint",
    "bring_in",
    "export",
    "keeping",
    "kit",
    "log",
    "over_years",
    "past_table",
    "person",
    "sign_in",
    "teachers",
    "ways_in",
    "year",
]
