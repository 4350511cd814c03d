"""The pages of the guide and their sections, in the order in which they are read.

A page is its template, `templates/guide/<slug>.html`; each section stands there once, by its anchor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from app.words import N_


class Section(NamedTuple):
    """One section of a page: the end of its address, and its heading."""

    anchor: str
    title: str


@dataclass(frozen=True)
class GuidePage:
    """One page of the guide; `about` is the sentence that says what is on it."""

    slug: str
    title: str
    about: str
    sections: tuple[Section, ...]

    def section(self, anchor: str) -> Section:
        """The section of that anchor, which has to be one of this page's."""
        return next(section for section in self.sections if section.anchor == anchor)


PRACTICAL = GuidePage(
    "practical",
    N_("The practical and its physics"),
    N_("What falls, what warms, and why the class's value comes out high."),
    (
        Section("what", N_("What is done")),
        Section("energy", N_("The energy balance")),
        Section("high", N_("Why the value comes out high")),
        Section("separated", N_("How the class takes the heat sink out")),
        Section("corrections", N_("What the tool corrects")),
        Section("plan", N_("A good plan")),
        Section("simple", N_("What is simplified")),
    ),
)
LESSON = GuidePage(
    "lesson",
    N_("The lesson, minute by minute"),
    N_("Fifty minutes: what to set out, what students do, what the wall shows, what you tap."),
    (
        Section("before", N_("Before the lesson")),
        Section("care", N_("Cautions")),
        Section("minutes", N_("Fifty minutes")),
        Section("students", N_("For students")),
        Section("wall", N_("The wall, step by step")),
        Section("taps", N_("What else you may have to tap")),
        Section("deciding", N_("Deciding about runs")),
        Section("after", N_("After the lesson")),
    ),
)
NUMBERS = GuidePage(
    "numbers",
    N_("What every flag and number means"),
    N_("Each with its formula and where it comes from."),
    (
        Section("states", N_("States and marks")),
        Section("runs", N_("The numbers of a run")),
        Section("class", N_("The numbers of the class")),
        Section("flags", N_("Flags")),
        Section("slips", N_("Suspected slips")),
        Section("questions", N_("Questions about a reading")),
        Section("during", N_("What the desk says during the lesson")),
        Section("planner", N_("The planner's figures")),
        Section("falls", N_("Other falls")),
        Section("years", N_("Over the years")),
        Section("pieces", N_("Pieces of the kit")),
    ),
)

PAGES = (PRACTICAL, LESSON, NUMBERS)
BY_SLUG = {page.slug: page for page in PAGES}


def beside(page: GuidePage) -> tuple[GuidePage | None, GuidePage | None]:
    """The pages before and after it."""
    at = PAGES.index(page)
    return (PAGES[at - 1] if at else None, PAGES[at + 1] if at + 1 < len(PAGES) else None)
