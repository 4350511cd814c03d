"""Days as tables write them, in three styles; one that can be read in two ways is for a person to say."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from enum import StrEnum

from app.words import N_, Message


class DayStyle(StrEnum):
    """In which order year, month and day stand."""

    YEAR_FIRST = "year first"
    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


STYLE_NAMES = {
    DayStyle.YEAR_FIRST: Message(N_("year, month, day: 2031-03-06")),
    DayStyle.DAY_FIRST: Message(N_("day, month, year: 6.3.2031 or 06/03/2031")),
    DayStyle.MONTH_FIRST: Message(N_("month, day, year: 3/6/2031")),
}
_YEAR_FIRST = re.compile(r"(?P<y>[0-9]{4})[-/.](?P<m>[0-9]{1,2})[-/.](?P<d>[0-9]{1,2})(?:[T ].*)?")
_YEAR_LAST = re.compile(r"(?P<a>[0-9]{1,2})[-/. ]{1,2}(?P<b>[0-9]{1,2})[-/. ]{1,2}(?P<y>[0-9]{4})(?:[T ].*)?")


def day_of(text: str, style: DayStyle) -> date | None:
    """The day in a text of this style; None where it is not one."""
    if style is DayStyle.YEAR_FIRST:
        found = _YEAR_FIRST.fullmatch(text.strip())
        parts = found and (found["y"], found["m"], found["d"])
    else:
        found = _YEAR_LAST.fullmatch(text.strip())
        parts = found and (
            (found["y"], found["b"], found["a"])
            if style is DayStyle.DAY_FIRST
            else (found["y"], found["a"], found["b"])
        )
    try:
        return date(*map(int, parts)) if parts else None
    except ValueError:
        return None


def only_style(texts: Iterable[str]) -> DayStyle | None:
    """The style that fits all of these; None where none does, or two do and give other days."""
    texts = [text for text in texts if text]
    read = {style: [day_of(text, style) for text in texts] for style in DayStyle}
    fit = [style for style in DayStyle if texts and None not in read[style]]
    if len(fit) > 1 and all(read[style] == read[fit[0]] for style in fit):
        return fit[0]
    return fit[0] if len(fit) == 1 else None
