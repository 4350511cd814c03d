"""What a teacher says of a table: which column is what, in which unit, and what all rows share."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from app.exports.past.columns import (
    ACCEPTED,
    BENCH,
    DAY,
    FACTS,
    GRAVITY,
    LABELS,
    METAL,
    TITLE,
    guessed,
    guessed_mark,
    guessed_unit,
    heading_row,
)
from app.exports.past.days import DayStyle, day_of, only_style
from app.exports.past.sheets import MOST_ROWS, Sheet
from app.physics.materials import MATERIALS
from app.physics.reading.planning import parse_thermometer_step
from app.physics.reading.readings import ReadingProblem, parse_accepted_heat_capacity, parse_gravity
from app.physics.run import QUANTITIES
from app.records.models.practical import LONGEST_SOURCE, LONGEST_TITLE
from app.web.forms import TypedForm, parse_day, whole_number
from app.words import N_, Message

EACH_ROW = "row"
"""In place of a column for the benches: every row is a bench of its own."""
MARKS = (".", ",")
MATCHED = (*LABELS, *FACTS, *QUANTITIES)
COLUMN, UNIT, SAME = "column_", "unit_", "same_"
SOURCE, STEP, STYLE, MARK, HEADING, OUT = (
    *("accepted_source", "thermometer_step", "day_style", "decimal_mark", "heading_row", "rows_out"),
)
NAMES = (
    *(HEADING, OUT, MARK, STYLE),
    *(COLUMN + name for name in MATCHED),
    *(UNIT + name for name, one in QUANTITIES.items() if one.units),
    *(SAME + name for name in QUANTITIES),
    *FACTS,
    *(SOURCE, STEP),
)
DIFFERENT = N_("The rows differ in this column (%(typed)s and others). Bring in one class at a time.")


@dataclass(frozen=True)
class Facts:
    """What all runs of the table share."""

    title: str
    held_on: date
    material: str
    accepted_J_per_kg_K: Decimal
    accepted_source: str
    gravity_m_per_s2: Decimal | None
    thermometer_step_K: Decimal


@dataclass
class TableForm(TypedForm):
    """The answers as typed, and the table that they are about."""

    sheet: Sheet = field(default_factory=lambda: Sheet("", []))
    headings: Sequence[str] = ()
    rows: Mapping[int, Sequence[str]] = field(default_factory=dict)
    """The rows below the headings that are not empty and not left out, by their numbers in the file."""

    def column(self, name: str) -> int | None:
        """The column that was chosen for something."""
        return whole_number(self.typed[COLUMN + name], 0, 999)

    def cell(self, row: Sequence[str], name: str) -> str:
        """What stands in the chosen column of a row."""
        at = self.column(name)
        return row[at].strip() if at is not None and at < len(row) else ""

    def cells(self, name: str) -> dict[int, str]:
        """The same for all rows, without empty ones."""
        return {number: text for number, row in self.rows.items() if (text := self.cell(row, name))}


def offered(sheet: Sheet) -> TableForm:
    """The form as it is first shown: guesses by the headings, for the teacher to look at."""
    head = heading_row(sheet.rows)
    headings = sheet.rows[head]
    columns = guessed(headings)
    below = [row for row in sheet.rows[head + 1 :] if any(row)]
    numbers = [
        cell
        for row in below
        for name, at in columns.items()
        if name in QUANTITIES
        for cell in row[at : at + 1]
    ]
    days = [row[columns[DAY]] for row in below if DAY in columns and columns[DAY] < len(row)]
    typed = {
        HEADING: str(head + 1),
        MARK: guessed_mark(numbers),
        STYLE: only_style(days) or "",
        **{COLUMN + name: str(at) for name, at in columns.items()},
        **{
            UNIT + name: guessed_unit(name, headings[columns[name]]) if name in columns else one.usual_unit
            for name, one in QUANTITIES.items()
            if one.units
        },
    }
    return table_form(sheet, typed)


def table_form(sheet: Sheet, sent: Mapping[str, str]) -> TableForm:
    """The form as sent; only what says where its rows are is read."""
    form = TableForm.of(sent, NAMES)
    form.sheet = sheet
    head = form.read(HEADING, _row_number) or 1
    out = form.read(OUT, _row_numbers) or set()
    if head > len(sheet.rows):
        form.refuse(HEADING, Message(N_("The table has no such row.")))
        head = 1
    form.headings = sheet.rows[head - 1]
    form.rows = {
        number: row
        for number, row in enumerate(sheet.rows, 1)
        if number > head and number not in out and any(row)
    }
    if not form.rows:
        form.refuse(HEADING, Message(N_("There is no row below the headings.")))
    return form


def facts(form: TableForm) -> Facts | None:
    """What the rows share; None, and the problems kept, where something of it is missing or wrong."""
    if form.typed[MARK] not in MARKS:
        form.refuse(MARK, Message(N_("Choose the decimal mark of the table.")))
    if form.column(BENCH) is None and form.typed[COLUMN + BENCH] != EACH_ROW:
        form.refuse(COLUMN + BENCH, Message(N_("Say which column names the bench.")))
    for name in FACTS:
        texts = list(dict.fromkeys(form.cells(name).values()))
        if len(texts) > 1 and name != DAY:
            form.refuse(COLUMN + name, Message(DIFFERENT, {"typed": texts[0][:40]}))
        elif texts and name != DAY:
            form.typed[name] = texts[0]
    title, held_on = form.read(TITLE, _title), _day(form)
    material = form.read(METAL, _material)
    accepted = form.read_optional(ACCEPTED, parse_accepted_heat_capacity)
    gravity = form.read_optional(GRAVITY, parse_gravity)
    step = form.read(STEP, parse_thermometer_step)
    source = form.read_optional(SOURCE, _source)
    if accepted is not None and not source:
        form.refuse(SOURCE, Message(N_("Say where the accepted value comes from, in up to 400 characters.")))
    if form.problems or not (title and held_on and material and step):
        return None
    known = MATERIALS[material]
    if accepted is None:
        accepted, source = Decimal(str(known.accepted_J_per_kg_K)), known.accepted_source
    return Facts(title, held_on, material, accepted, source or "", gravity, step)


def _day(form: TableForm) -> date | None:
    cells = form.cells(DAY)
    if not cells:
        return form.read(DAY, _day_typed)
    if form.typed[STYLE] not in tuple(DayStyle):
        form.refuse(
            STYLE, Message(N_("The days can be read in more than one way. Choose how they are written."))
        )
        return None
    style = DayStyle(form.typed[STYLE])
    days = {number: day_of(text, style) for number, text in cells.items()}
    wrong = [str(number) for number, day in days.items() if day is None]
    if wrong:
        sentence = N_("These rows have no day of this style: %(rows)s.")
        form.refuse(COLUMN + DAY, Message(sentence, {"rows": ", ".join(wrong[:20])}))
        return None
    if len(set(days.values())) > 1:
        form.refuse(COLUMN + DAY, Message(DIFFERENT, {"typed": next(iter(cells.values()))[:40]}))
    return next(iter(days.values()))


def _row_number(text: str) -> int:
    number = whole_number(text, 1, MOST_ROWS)
    if number is None:
        raise ReadingProblem(Message(N_("Give the number of a row, as in the file.")))
    return number


def _row_numbers(text: str) -> set[int]:
    """Rows as in “38, 40-42”."""
    found: set[int] = set()
    for part in filter(None, re.split(r"[,;\s]+", text)):
        first, dash, last = part.replace("–", "-").partition("-")
        found |= set(range(_row_number(first), _row_number(last if dash else first) + 1))
    return found


def _title(text: str) -> str:
    if not 0 < len(text.strip()) <= LONGEST_TITLE:
        raise ReadingProblem(Message(N_("Give the practical a title of up to 120 characters.")))
    return text.strip()


def _day_typed(text: str) -> date:
    return parse_day(text, Message(N_("Give the day of the lesson.")))


def _material(text: str) -> str:
    wanted = text.strip().casefold()
    for key, material in MATERIALS.items():
        if wanted in (key, str(material.name).casefold()):
            return key
    raise ReadingProblem(Message(N_("Choose the metal of the shot.")))


def _source(text: str) -> str:
    if len(text.strip()) > LONGEST_SOURCE:
        raise ReadingProblem(Message(N_("Say where the accepted value comes from, in up to 400 characters.")))
    return text.strip()
