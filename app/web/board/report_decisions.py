"""The runs of a lesson report that were corrected, set aside or counted again: what, when, by whom, why."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from app.exports.papers.report_parts import ABSENT, Numbers, Paragraph, Section, Words
from app.physics.reading.ends import PARTS
from app.physics.reading.text import with_unit
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.history import HistoryLine
from app.records.choices import ActorKind, HistoryKind
from app.web.board.report_words import COLUMNS, DECIDED, READ, SAYS
from app.web.desk.blueprint import moment_text

_HEAD = (
    SAYS["when"],
    COLUMNS["bench"],
    COLUMNS["run"],
    SAYS["what"],
    SAYS["reading"],
    SAYS["before and after"],
    SAYS["reason"],
    SAYS["who"],
)


def decisions(story: Sequence[HistoryLine]) -> Section:
    """Every decision, and every correction with each reading before and after; oldest first.

    What was decided about several runs of a bench in one step is one row.
    """
    rows: list[tuple[Words, ...]] = []
    entries: dict[int | None, RunEntry | None] = {}
    for _, step in groupby(story, key=_step_of):
        lines = tuple(step)
        if lines[0].is_decision:
            rows += _rows(lines[0], None, _run_numbers([line.run_number or 0 for line in lines]))
            continue
        for line in lines:
            if line.kind == HistoryKind.RUN_CORRECTED:
                rows += _rows(line, entries.get(line.run_id), str(line.run_number))
            if line.entry is not None:
                entries[line.run_id] = line.entry
    if not rows:
        return Section(SAYS["decisions"], (Paragraph(SAYS["no decisions"]),))
    return Section(SAYS["decisions"], (Numbers(SAYS["decisions"], _HEAD, tuple(rows)),))


def _step_of(line: HistoryLine) -> tuple[object, ...]:
    """What the decisions of one step about a bench have in common; nothing else is one."""
    if not line.is_decision:
        return (False,)
    return (True, line.at, line.kind, line.actor, line.reason, line.words_removed, line.bench_number)


def _run_numbers(numbers: list[int]) -> str:
    """In a row without a gap the first and the last of more than two: 4–7."""
    numbers = sorted(numbers)
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"{numbers[0]}–{numbers[-1]}"
    return ", ".join(map(str, numbers))


def _rows(line: HistoryLine, before: RunEntry | None, runs: str) -> list[tuple[Words, ...]]:
    """A row for each reading that was changed; one for a decision."""
    changes = [] if line.is_decision or before is None or line.entry is None else _changes(before, line.entry)
    who = SAYS[line.actor] if line.actor in (ActorKind.BENCH, ActorKind.SIMULATOR) else line.actor
    reason: Words = SAYS["words removed"] if line.words_removed else line.reason or ABSENT
    run = (str(line.bench_number), runs)
    return [
        (moment_text(line.at), *run, DECIDED[line.kind], *change, reason, who)
        for change in changes or [(ABSENT, ABSENT)]
    ]


def _changes(before: RunEntry, after: RunEntry) -> list[tuple[Words, Words]]:
    """Each reading that was typed anew. Of caps and depth, each by itself, the allowance is the sum."""
    names = [name for name in READ if name in before.of or name in after.of]
    if all(part in entry.of for entry in (before, after) for part in PARTS):
        names.remove("end_allowance")
    told = [(READ[name], _as_typed(before, name), _as_typed(after, name)) for name in names]
    return [(words, f"{old} → {new}") for words, old, new in told if old != new]


def _as_typed(entry: RunEntry, name: str) -> str:
    reading = entry.of.get(name)
    return ABSENT if reading is None else with_unit(reading.raw, reading.unit).replace(" ", "\xa0")
