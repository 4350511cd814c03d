"""Rows of the grid out of a run table's file: its texts as they are. Nothing is stored."""

from __future__ import annotations

from app.exports.run_table import COLUMNS, ICE_POINT, NEEDED, STEP, YES
from app.exports.table_text import RunTableProblem, TextRow, text_rows
from app.physics.run import QUANTITIES
from app.web.desk.runs.grid_form import BENCH, MOST_ROWS, Grid
from app.web.forms import bench_number
from app.words import N_, Message

SIMULATED = "simulated"
"""The download's column for the runs of a rehearsal."""
_LONGEST_NUMBER = 9
"""Digits of a run's number that the rows are sorted by: more than any class has (our own choice)."""

TOO_MANY = N_(
    "Runs: %(count)s. This page takes at most %(most)s at a time, so nothing was stored: bring them in parts."
)


def add_file(grid: Grid, data: bytes) -> list[Message]:
    """Put a file's runs behind the rows that are filled, and say what of it was not taken.

    The runs of a bench come in the order of their numbers, where the file has whole numbers. Raises
    `RunTableProblem`, and then the grid is as it was.
    """
    rows = list(text_rows(data, (*COLUMNS, SIMULATED), NEEDED))
    real = [row for row in rows if row.text(SIMULATED).lower() not in YES]
    filled = grid.filled
    if len(filled) + len(real) > MOST_ROWS:
        count = len(filled) + len(real)
        raise RunTableProblem(TOO_MANY, count=str(count), most=str(MOST_ROWS))
    if all(bench_number(row.text("bench")) and _is_number(row.text("run")) for row in real):
        real.sort(key=lambda row: (bench_number(row.text("bench")), int(row.text("run"))))
    grid.rows = filled
    grid.add(_typed(row) for row in real)
    return [*_said_of(rows, real)]


def too_many(count: int) -> Message:
    """The sentence for more rows than one page takes."""
    return Message(TOO_MANY, {"count": str(count), "most": str(MOST_ROWS)})


def _is_number(text: str) -> bool:
    return text.isdecimal() and len(text) <= _LONGEST_NUMBER


def _typed(row: TextRow) -> dict[str, str]:
    readings = {name: row.text(quantity.column) for name, quantity in QUANTITIES.items()}
    return {BENCH: row.text("bench"), **readings}


def _said_of(rows: list[TextRow], real: list[TextRow]) -> list[Message]:
    """What a file holds beside readings, and whether its end is missing."""
    said = [Message(N_("Runs from the file: %(count)s. Nothing is stored yet."), {"count": str(len(real))})]
    aside = sum(row.text("set_aside").lower() in YES for row in real)
    if aside:
        sentence = N_(
            "Set aside in the file: %(count)s. Here they count like the others, until you decide about them."
        )
        said.append(Message(sentence, {"count": str(aside)}))
    if len(real) < len(rows):
        sentence = N_("Simulated in the file, and left out: %(count)s.")
        said.append(Message(sentence, {"count": str(len(rows) - len(real))}))
    left = [name for name in (STEP, ICE_POINT) if any(row.text(name) for row in real)]
    if left:
        sentence = N_(
            "Not taken from the file: %(columns)s. Type a thermometer's step, and what it reads in melting "
            "ice, into the plan; the latter may also be typed on the bench's page where thermometers differ."
        )
        said.append(Message(sentence, {"columns": ", ".join(left)}))
    if rows[-1].ends_early:
        sentence = N_("The file's last row (%(row)s) ends early. Was the file cut off?")
        said.append(Message(sentence, {"row": str(rows[-1].number)}))
    return said
