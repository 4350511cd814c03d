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
    (Section("what", N_("What is done")),),
)

PAGES = (PRACTICAL,)
BY_SLUG = {page.slug: page for page in PAGES}


def beside(page: GuidePage) -> tuple[GuidePage | None, GuidePage | None]:
    """The pages before and after it."""
    at = PAGES.index(page)
    return (PAGES[at - 1] if at else None, PAGES[at + 1] if at + 1 < len(PAGES) else None)
