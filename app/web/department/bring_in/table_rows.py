"""The rows of a table, each judged as a bench's run would be: what it means, or what is wrong."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from app.exports.cells import original_text
from app.exports.past.columns import ASIDE, BENCH, RUN
from app.exports.run_table import YES
from app.physics.limits import MOST_BENCHES
from app.physics.reading.ends import PARTS, WHOLE, with_allowance
from app.physics.reading.readings import Reading, ReadingProblem
from app.physics.run import QUANTITIES
from app.practicals.bring_in.table import PastRun
from app.practicals.lesson.details import Plan
from app.practicals.runs.entry import ImpossibleReading, RunEntry, check_entry
from app.records.choices import GravityHow
from app.web.department.bring_in.table_form import COLUMN, EACH_ROW, MARK, SAME, UNIT, Facts, TableForm
from app.web.forms import whole_number
from app.words import N_, Message

NO = {"", "no", "false", "0"}
MOST_LISTED = 20
"""Rows that one sentence names (our own choice)."""
_MARKED = re.compile(r"[0-9]([.,])[0-9]")
ANOTHER_MARK = N_("These rows have another decimal mark than was chosen: %(rows)s. Nothing is guessed.")
NOT_IN_THE_TABLE = N_("Choose its column, or type what is the same for all rows.")


@dataclass
class JudgedRow:
    """One row: what was read of it, by quantity, and every problem in words."""

    number: int
    bench_label: str
    bench: int = 0
    run_label: str = ""
    read: dict[str, Reading] = field(default_factory=dict)
    entry: RunEntry | None = None
    set_aside: bool = False
    problems: list[tuple[str, Message]] = field(default_factory=list)

    def refuse(self, name: str, message: Message) -> None:
        """Keep a problem of one of the row's quantities."""
        self.problems.append((name, message))


def judged(form: TableForm) -> list[JudgedRow]:
    """All rows in the order of the file. What is wrong with a whole column stands with the form."""
    _refuse_missing_columns(form)
    _refuse_other_marks(form)
    rows = [_judged(form, number, cells) for number, cells in form.rows.items()]
    _number_benches(form, rows)
    _refuse_twice(rows)
    return rows


def runs_of(rows: Sequence[JudgedRow]) -> list[PastRun]:
    """The runs bench by bench, each bench's in the order of its run numbers where it has whole ones."""
    benches: dict[int, list[JudgedRow]] = {}
    for row in rows:
        benches.setdefault(row.bench, []).append(row)
    for own in benches.values():
        if all(row.run_label.isdecimal() for row in own):
            own.sort(key=lambda row: int(row.run_label[:9]))
    return [
        PastRun(row.number, row.bench, row.entry, row.set_aside)
        for own in benches.values()
        for row in own
        if row.entry
    ]


def plan_of(told: Facts, rows: Sequence[JudgedRow]) -> Plan:
    """The plan that such a class had: what most of its runs have in common."""
    entries = [row.entry for row in rows if row.entry]

    def usual(name: str) -> Decimal:
        return Counter(entry.of[name].value for entry in entries).most_common(1)[0][0]

    gravity = (
        {}
        if told.gravity_m_per_s2 is None
        else {"gravity_m_per_s2": told.gravity_m_per_s2, "gravity_how": GravityHow.TYPED}
    )
    return Plan(
        title=told.title,
        held_on=told.held_on,
        material=told.material,
        accepted_J_per_kg_K=told.accepted_J_per_kg_K,
        accepted_source=told.accepted_source,
        tube_length_m=usual("tube_length"),
        end_allowance_m=usual(WHOLE),
        inversions=int(usual("inversions")),
        planned_benches=max(row.bench for row in rows),
        thermometer_step_K=told.thermometer_step_K,
        depth_measured=all("settled_depth" in entry.of for entry in entries),
        **gravity,  # type: ignore[arg-type]
    )


def _judged(form: TableForm, number: int, cells: Sequence[str]) -> JudgedRow:
    label = str(number) if form.typed[COLUMN + BENCH] == EACH_ROW else original_text(form.cell(cells, BENCH))
    row = JudgedRow(number, label, run_label=form.cell(cells, RUN))
    aside = form.cell(cells, ASIDE).lower()
    row.set_aside = aside in YES
    if aside not in YES | NO:
        row.refuse(ASIDE, Message(N_("Set aside: write yes, or leave it empty.")))
    for name, quantity in QUANTITIES.items():
        text = form.cell(cells, name) if form.column(name) is not None else form.typed[SAME + name].strip()
        if not text:
            if quantity.needed and form.column(name) is not None and not _is_sum(form, name):
                row.refuse(name, Message(N_("This reading is missing.")))
            continue
        try:
            row.read[name] = quantity.read(text, form.typed.get(UNIT + name, ""))
        except ReadingProblem as problem:
            row.refuse(name, problem.message)
    if not row.problems:
        _understand(row)
    return row


def _understand(row: JudgedRow) -> None:
    try:
        row.read = with_allowance(row.read)
    except ReadingProblem as problem:
        row.refuse(WHOLE, problem.message)
        return
    missing = [name for name, one in QUANTITIES.items() if one.needed and name not in row.read]
    for name in missing:
        row.refuse(name, Message(N_("This reading is missing.")))
    if missing:
        return
    entry = RunEntry(row.read)
    try:
        check_entry(entry)
        row.entry = entry
    except ImpossibleReading as problem:
        row.refuse(problem.field, problem.message)


def _is_sum(form: TableForm, name: str) -> bool:
    """Whether caps and settled depth make up for an end allowance that is left out."""
    return name == WHOLE and all(form.column(part) is not None or form.typed[SAME + part] for part in PARTS)


def _refuse_missing_columns(form: TableForm) -> None:
    for name, one in QUANTITIES.items():
        given = form.column(name) is not None or form.typed[SAME + name].strip()
        if one.needed and not given and not _is_sum(form, name):
            form.refuse(COLUMN + name, Message(NOT_IN_THE_TABLE))
        if one.units and form.typed[UNIT + name] not in one.units:
            form.refuse(UNIT + name, Message(N_("Choose the unit of this column.")))


def _refuse_other_marks(form: TableForm) -> None:
    for name in QUANTITIES:
        other = [
            str(number)
            for number, text in form.cells(name).items()
            if (found := _MARKED.search(text)) and found[1] != form.typed[MARK]
        ]
        if other:
            form.refuse(COLUMN + name, Message(ANOTHER_MARK, {"rows": ", ".join(other[:MOST_LISTED])}))


def _number_benches(form: TableForm, rows: Sequence[JudgedRow]) -> None:
    """Benches keep their own numbers where all are numbers of benches; else they are counted as they come."""
    labels = list(dict.fromkeys(row.bench_label for row in rows if row.bench_label))
    own = form.typed[COLUMN + BENCH] != EACH_ROW and all(
        len(label) < 3 and whole_number(label, 1, MOST_BENCHES) for label in labels
    )
    numbers = {label: int(label) if own else place for place, label in enumerate(labels, 1)}
    for row in rows:
        row.bench = numbers.get(row.bench_label, 0)
        if not row.bench_label:
            row.refuse(BENCH, Message(N_("The bench is missing.")))
    if len(labels) > MOST_BENCHES:
        form.refuse(COLUMN + BENCH, Message(N_("A class has at most 99 benches. Is this the right column?")))


def _refuse_twice(rows: Sequence[JudgedRow]) -> None:
    seen: dict[tuple[int, str], int] = {}
    for row in rows:
        if not row.run_label:
            continue
        first = seen.setdefault((row.bench, row.run_label), row.number)
        if first != row.number:
            sentence = N_("Row %(row)s is the same run of the same bench.")
            row.refuse(RUN, Message(sentence, {"row": str(first)}))
