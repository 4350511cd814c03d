"""Many runs in rows: as typed or pasted, and what is wrong, unlikely or stored already about each of them.

A row is read by the form for one run (`run_form`): the same parsers, limits and questions. A row without a
reading is none. A length or count that the plan gives may stay empty; the plan's own then stands for it, as
long as it is the one that the page showed there in grey.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from app.physics.asking.question import Question
from app.physics.limits import BENCHES
from app.physics.planned import OTHER_RUN
from app.physics.reading.ends import PARTS, WHOLE
from app.physics.run import QUANTITIES
from app.practicals.benches.rows import BadBenchNumber
from app.practicals.lesson.details import Plan
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.reading import StoredRuns
from app.practicals.runs.sending import TypedAtTheDesk
from app.web.desk.runs.run_form import form_for_bench, read_run_form
from app.web.forms import LONGEST_TYPED, bench_number, fingerprint, is_key, new_key
from app.words import N_, Message

MOST_ROWS = 200
"""Of one page: 32 benches with six runs each are fewer (our own choice)."""
BENCH = "bench_number"
ALIKE = N_("Run %(run)s of this bench has these very readings.")
TWIN = N_("Row %(row)s has these very readings.")
MOVED = N_(
    "By now this is run %(run)s of bench %(bench)s. The plan gives it %(now)s here; "
    "the page showed %(shown)s."
)
_NOTHING = "–"
_NAMES = (BENCH, *QUANTITIES)
_PLANNED = tuple(name for name, quantity in QUANTITIES.items() if quantity.planned)
_FIELD = re.compile(rf"(?:key|grey|{'|'.join(_NAMES)})_([0-9]{{1,4}})")
SEPARATOR = "|"
"""Between the grey numbers of a row, in the order of the page."""
_Readings = tuple[int, tuple[Decimal | None, ...]]


def grey(name: str, planned: Mapping[str, str]) -> str:
    """What the plan gives a field, without the unit that its column has."""
    return planned.get(name, "").removesuffix(f" {QUANTITIES[name].usual_unit}")


@dataclass(frozen=True)
class OfClass:
    """What a row is held against: the plan, the runs that are stored, what the thermometers show in ice."""

    plan: Plan
    stored: StoredRuns
    ice_points: Mapping[int, Decimal | None]

    @property
    def benches(self) -> list[int]:
        """The benches that a new page has a row for: those of the plan, and those that have joined beyond."""
        return sorted({*range(1, self.plan.planned_benches + 1), *self.stored.last_numbers, *self.ice_points})


@dataclass
class GridRow:
    """One row as typed. `place` ends the names of its fields; the rest is there once it has been judged.

    `shown`: what its page showed in grey, None where no page said so. `run`: the number that its run has or
    will have. `planned`: what stands for a cell that is left empty. `moved`: the cells for which that is
    something else than was shown. `stored_as`: the number of the bench's run that has these very readings,
    `twin_of`: else the row above that has them, counted from 1.
    """

    place: int
    key: str
    typed: dict[str, str]
    shown: str | None = None
    run: int | None = None
    planned: Mapping[str, str] = field(default_factory=dict)
    moved: dict[str, Message] = field(default_factory=dict)
    problems: dict[str, Message] = field(default_factory=dict)
    questions: tuple[Question, ...] = ()
    entry: RunEntry | None = None
    stored_as: int | None = None
    twin_of: int | None = None

    @property
    def number(self) -> int:
        """The bench's number; 0 where it is none."""
        return bench_number(self.typed[BENCH])

    @property
    def blank(self) -> bool:
        """Whether nothing was read here; a bench number alone is no run."""
        return not any(self.typed[name].strip() for name in QUANTITIES)

    def asked_about(self, name: str) -> tuple[Message, ...]:
        """What is asked about a field; that the whole run is stored already, beside the bench's number."""
        asked = [question.sentence for question in self.questions if question.field == name]
        asked += self.told_about(name)
        if self.stored_as and name == BENCH:
            asked.append(Message(ALIKE, {"run": str(self.stored_as)}))
        elif self.twin_of and name == BENCH:
            asked.append(Message(TWIN, {"row": str(self.twin_of)}))
        return tuple(asked)

    def told_about(self, name: str) -> tuple[Message, ...]:
        """What is said of a field even where the page asks nothing: that its number is another one by now."""
        return (self.moved[name],) if name in self.moved else ()

    def grey_of(self, name: str) -> str:
        """The plan's number as an empty cell shows it, in the unit of its column."""
        return grey(name, self.planned)

    @property
    def grey(self) -> str:
        """All that the row shows in grey, which comes back with it."""
        return SEPARATOR.join(map(self.grey_of, _PLANNED))

    @property
    def fingerprint(self) -> str:
        """By which a page knows that it asked about exactly these texts."""
        return fingerprint("\n".join(self.typed[name] for name in _NAMES))


@dataclass
class Grid:
    """The rows of a page. `kept` are the fingerprints of rows that are right as typed.

    `sent`: how many rows a form had, of which the page takes `MOST_ROWS`.
    """

    rows: list[GridRow]
    kept: frozenset[str] = frozenset()
    sent: int = 0

    @property
    def filled(self) -> list[GridRow]:
        """The rows with a reading."""
        return [row for row in self.rows if not row.blank]

    def problems(self) -> list[tuple[GridRow, str, Message]]:
        """Every problem with its row and the name of its field, in the order of the page."""
        return [
            (row, name, row.problems[name]) for row in self.rows for name in _NAMES if name in row.problems
        ]

    def questions(self) -> list[tuple[GridRow, str, Message]]:
        """Every question with its row and the name of its field, in the order of the page."""
        return [(row, name, one) for row in self.filled for name in _NAMES for one in row.asked_about(name)]

    def leave_out(self, asked: Iterable[str], of_class: OfClass) -> None:
        """Without the rows that were asked about and are stored already."""
        judge(self, of_class)
        known = set(asked)
        self.rows = [row for row in self.rows if not (row.stored_as and row.fingerprint in known)]

    def add_rows(self, benches: Iterable[int]) -> None:
        """A further row for each bench, as long as the page takes more."""
        self.add([{BENCH: str(number)} for number in benches][: MOST_ROWS - len(self.rows)])

    def add(self, typed: Iterable[Mapping[str, str]]) -> None:
        """Further rows with these texts."""
        last = max((row.place for row in self.rows), default=0)
        for place, texts in enumerate(typed, last + 1):
            self.rows.append(GridRow(place, new_key(), {name: texts.get(name, "") for name in _NAMES}))

    def to_store(self) -> list[TypedAtTheDesk]:
        """The runs, if nothing is wrong with any of them."""
        return [TypedAtTheDesk(row.number, row.key, row.entry) for row in self.filled if row.entry]


def new_grid(of_class: OfClass) -> Grid:
    """An empty row for the next run of each bench."""
    grid = Grid([])
    grid.add_rows(of_class.benches)
    return grid


def grid_from(form: Mapping[str, str], kept: Iterable[str]) -> Grid:
    """The rows of a posted form, texts as typed; a key that is none is made anew."""
    places = sorted({int(found[1]) for name in form if (found := _FIELD.fullmatch(name))})
    rows = []
    for place in places[:MOST_ROWS]:
        key, shown = form.get(f"key_{place}", ""), form.get(f"grey_{place}")
        typed = {name: form.get(f"{name}_{place}", "")[:LONGEST_TYPED] for name in _NAMES}
        rows.append(GridRow(place, key if is_key(key) else new_key(), typed, shown))
    return Grid(rows, frozenset(kept), len(places))


def in_grey(plan: Plan) -> dict[str, Any]:
    """What the page's script shows in empty cells, by bench and run; the last run stands for all later."""

    def runs_of(number: int) -> list[dict[str, str]]:
        typed = [form_for_bench(plan, number, run).typed for run in range(1, OTHER_RUN + 2)]
        return [{name: grey(name, texts) for name in _PLANNED} for texts in typed]

    return {
        "others": runs_of(0),
        "benches": {line.number: runs_of(line.number) for line in plan.bench_plans},
        "names": _PLANNED,
        "whole": WHOLE,
        "parts": PARTS,
        "separator": SEPARATOR,
    }


def judge(grid: Grid, of_class: OfClass) -> None:
    """Say of each row what number its run has and what the plan gives it; read those with a reading."""
    last = dict(of_class.stored.last_numbers)
    rows_of: dict[_Readings, int] = {}
    for place, row in enumerate(grid.rows, 1):
        number = row.number
        if Decimal(number) not in BENCHES:
            if not row.blank:
                row.problems[BENCH] = BadBenchNumber().message
            continue
        before = of_class.stored.keys.get(row.key)
        row.stored_as = row.twin_of = None
        row.run = before or last.get(number, 0) + 1
        row.planned = _planned(row, of_class.plan)
        if row.blank:
            continue
        row.moved = _moved(row)
        last[number] = max(row.run, last.get(number, 0))
        _read(row, of_class, row.fingerprint in grid.kept)
        if row.entry is None:
            continue
        if before is None and row.fingerprint not in grid.kept:
            row.stored_as = _same(row, row.entry, of_class.plan, last[number], of_class.stored.numbers_of)
            row.twin_of = (
                None if row.stored_as else _same(row, row.entry, of_class.plan, last[number], rows_of)
            )
        rows_of.setdefault((number, tuple(_values(row.entry).values())), place)


def _planned(row: GridRow, plan: Plan) -> dict[str, str]:
    """What the plan gives this run. Caps and depth that were measured take the end allowance's place."""
    offered = form_for_bench(plan, row.number, row.run or 1).typed
    measured = any(row.typed[name].strip() for name in PARTS)
    return {
        name: text
        for name, text in offered.items()
        if name in QUANTITIES and text and not (name == WHOLE and measured)
    }


def _read(row: GridRow, of_class: OfClass, kept: bool) -> None:
    """Read the row as the form for one run reads it, what the plan gives in the cells that are empty."""
    texts = {name: text if text.strip() else row.planned.get(name, "") for name, text in row.typed.items()}
    typical = of_class.plan.typical_run(row.number, row.run or 1, of_class.ice_points.get(row.number))
    form = read_run_form(texts, typical)
    row.problems = {name: problem for name, problem in form.problems.items() if name in QUANTITIES}
    row.entry = form.entry
    row.questions = () if kept else form.questions


def _moved(row: GridRow) -> dict[str, Message]:
    """The empty cells for which the plan gives another number than the page showed there."""
    if row.shown is None:
        return {}
    shown = dict(zip(_PLANNED, row.shown.split(SEPARATOR), strict=False))
    found = {}
    for name in _PLANNED:
        now, before = row.grey_of(name), shown.get(name, "").strip()
        if now and now != before and not row.typed[name].strip():
            told = {"run": str(row.run), "bench": str(row.number), "now": now, "shown": before or _NOTHING}
            found[name] = Message(MOVED, told)
    return found


def _same(row: GridRow, entry: RunEntry, plan: Plan, last: int, seen: Mapping[_Readings, int]) -> int | None:
    """Which of these has the row's readings; a count left to the plan may be that of any of its runs.

    The same run may have come from a phone meanwhile, and the row would then be the next one, with its count.
    """
    values = _values(entry)
    counts = {values["inversions"]}
    if not row.typed["inversions"].strip():
        counts |= {Decimal(plan.count_of_run(row.number, run)) for run in range(1, last + 1)}
    for count in counts:
        found = seen.get((row.number, tuple((values | {"inversions": count}).values())))
        if found is not None:
            return found
    return None


def _values(entry: RunEntry) -> dict[str, Decimal | None]:
    return {name: entry.of[name].value if name in entry.of else None for name in QUANTITIES}
