"""Which school year a day is in, north and south."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.practicals.archive.school_year import days_of, name_of, school_year


@pytest.mark.parametrize(
    ("day", "begins_in", "year", "name"),
    [
        (date(2031, 8, 31), 9, 2030, "2030/31"),
        (date(2031, 9, 1), 9, 2031, "2031/32"),
        (date(2031, 8, 1), 8, 2031, "2031/32"),
        (date(2031, 1, 31), 2, 2030, "2030/31"),
        (date(2031, 1, 1), 1, 2031, "2031"),
        (date(2031, 12, 31), 1, 2031, "2031"),
        (date(1999, 10, 1), 9, 1999, "1999/00"),
    ],
)
def test_a_day_is_in_its_year(day: date, begins_in: int, year: int, name: str) -> None:
    assert school_year(day, begins_in) == year
    assert name_of(year, begins_in) == name
    first, last = days_of(year, begins_in)
    assert first <= day <= last
    assert school_year(first - timedelta(days=1), begins_in) == year - 1
    assert school_year(last + timedelta(days=1), begins_in) == year + 1


def test_the_first_and_the_last_year_of_the_calendar_are_years() -> None:
    assert [days_of(year, 9)[0] for year in (1, 9998)] == [date(1, 9, 1), date(9998, 9, 1)]


def test_a_year_without_a_calendar_is_refused() -> None:
    for year in (0, -1, 9999, 123456):
        with pytest.raises(ValueError, match="no school year"):
            days_of(year, 9)
