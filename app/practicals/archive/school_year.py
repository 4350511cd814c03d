"""School years: which one a day is in, and from when to when one lasts.

A year is named by the calendar year in which it begins. It begins with the first of a month that is the
department's: September unless said otherwise (common practice in much of the north, no source; January or
February in much of the south).
"""

from __future__ import annotations

from datetime import MAXYEAR, MINYEAR, date, timedelta

from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.departments import locked_department, require_head
from app.records.engine import Database


def school_year(day: date, begins_in: int) -> int:
    """The year in which the school year of this day began."""
    return day.year if day.month >= begins_in else day.year - 1


def days_of(year: int, begins_in: int) -> tuple[date, date]:
    """Its first day and its last. ValueError for a year that no calendar has."""
    if not MINYEAR <= year < MAXYEAR:
        raise ValueError(f"no school year begins in {year}")
    return date(year, begins_in, 1), date(year + 1, begins_in, 1) - timedelta(days=1)


def name_of(year: int, begins_in: int) -> str:
    """2031/32, or 2031 where it is a calendar year."""
    return str(year) if begins_in == 1 else f"{year}/{(year + 1) % 100:02d}"


def set_school_year(database: Database, *, actor: TeacherIdentity, begins_in: int) -> None:
    """The month with which the school year of the head's department begins."""
    with database.writing() as session:
        require_head(session, actor)
        locked_department(session, actor.department_id).year_begins_in = begins_in
