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

TROUBLE = GuidePage(
    "trouble",
    N_("What goes wrong, and what to do"),
    N_(
        "Whatever happens: a run that a phone showed as sent is on the server's disk, and a run that was not"
        " sent is still on the phone."
    ),
    (
        Section("reach", N_("Phones do not reach the server")),
        Section("code", N_("The code is refused")),
        Section("bench", N_("The bench's number is taken or wrong")),
        Section("network", N_("A phone lost its network")),
        Section("phone", N_("A phone is dead or gone")),
        Section("spilled", N_("Shot is spilled")),
        Section("thermometer", N_("A thermometer breaks")),
        Section("nonsense", N_("A bench types nonsense")),
        Section("waiting", N_("Runs wait for the teacher")),
        Section("stranger", N_("Somebody else's phone is in the class")),
        Section("frozen", N_("The board stands still")),
        Section("step", N_("The wrong step is on the wall")),
        Section("accepted", N_("The accepted value is wrong")),
        Section("server", N_("The server stops in the lesson")),
        Section("password", N_("A password is forgotten")),
        Section("disk", N_("The disk is full or the records are damaged")),
    ),
)
TECHNICIAN = GuidePage(
    "technician",
    N_("For the technician"),
    N_("What is set out, how it is kept in order, and what to take care of."),
    (
        Section("rules", N_("Local rules first")),
        Section("kit", N_("What a class needs")),
        Section("pieces", N_("The kit in the tool")),
        Section("labels", N_("Labels")),
        Section("set-out", N_("The set-out sheet")),
        Section("bench-kits", N_("Pieces for each bench")),
        Section("ice", N_("Thermometers in melting ice")),
        Section("shifts", N_("What the pieces do to results")),
        Section("lead", N_("Lead")),
        Section("metals", N_("Other metals")),
        Section("cleaning", N_("Cleaning")),
        Section("sieving", N_("Sieving the shot")),
        Section("storage", N_("Storage")),
    ),
)
DEPARTMENT = GuidePage(
    "department",
    N_("For the department"),
    N_("People and roles, the archive, for how long it is kept, and how records leave and come back."),
    (
        Section("roles", N_("Roles")),
        Section("people", N_("People")),
        Section("sign-in", N_("Passwords and sign-ins")),
        Section("covers", N_("Handing a lesson over")),
        Section("archive", N_("The archive")),
        Section("kept", N_("Results that are kept")),
        Section("year", N_("A year at a glance, and over the years")),
        Section("log", N_("The department's log")),
        Section("keeping", N_("How long records are kept")),
        Section("deletion", N_("Deletion")),
        Section("students", N_("What is kept about students")),
        Section("teachers", N_("What is kept about teachers")),
        Section("out", N_("Taking records away")),
        Section("in", N_("Bringing past practicals in")),
        Section("table-in", N_("Tables of past results from elsewhere")),
        Section("by-hand", N_("A class without phones")),
        Section("backups", N_("Backups")),
    ),
)
RUNNING = GuidePage(
    "running",
    N_("Running it for a school"),
    N_("Commands, settings, backups, and what to do when something moves, grows or breaks."),
    (
        Section("start", N_("The first start")),
        Section("commands", N_("Commands")),
        Section("settings", N_("Settings")),
        Section("data-folder", N_("The data folder")),
        Section("backups", N_("Backups")),
        Section("restore", N_("Going back to a backup")),
        Section("other-copies", N_("Copies made in another way")),
        Section("upgrade", N_("A newer version")),
        Section("move", N_("Another database, another computer")),
        Section("log", N_("The server's log")),
        Section("health", N_("Watching over a server")),
        Section("doctor", N_("The doctor")),
        Section("https", N_("Proxy and https")),
        Section("load", N_("What one server withstands")),
        Section("time-zone", N_("Time zone")),
        Section("pages", N_("Pages by their address")),
    ),
)
FILES = GuidePage(
    "files",
    N_("Files, columns and keys"),
    N_("Every file that goes out, with each column and key in words."),
    (
        Section("in-general", N_("In general")),
        Section("tables", N_("Tables (CSV)")),
        Section("bench-table", N_("The table that a bench takes home")),
        Section("csvw", N_("What the columns mean, for other programs")),
        Section("workbook", N_("The workbook (XLSX)")),
        Section("document", N_("A practical's document (JSON)")),
        Section("result", N_("A result (JSON)")),
        Section("package", N_("A package (ZIP)")),
        Section("person", N_("What is kept about one person (JSON)")),
    ),
)

PAGES = (PRACTICAL, LESSON, NUMBERS, TROUBLE, TECHNICIAN, DEPARTMENT, RUNNING, FILES)
BY_SLUG = {page.slug: page for page in PAGES}


def beside(page: GuidePage) -> tuple[GuidePage | None, GuidePage | None]:
    """The pages before and after it."""
    at = PAGES.index(page)
    return (PAGES[at - 1] if at else None, PAGES[at + 1] if at + 1 < len(PAGES) else None)
