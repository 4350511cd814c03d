"""The runs of a lesson report that were corrected, set aside or counted again: what, when, by whom, why."""

from __future__ import annotations

from collections.abc import Sequence

from app.exports.report_parts import ABSENT, Numbers, Paragraph, Section, Words
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
    """Every decision, and every correction with each reading before and after; oldest first."""
    rows: list[tuple[Words, ...]] = []
    entries: dict[int | None, RunEntry | None] = {}
    for line in story:
        if line.is_decision or line.kind == HistoryKind.RUN_CORRECTED:
            rows += _rows(line, entries.get(line.run_id))
        if line.entry is not None:
            entries[line.run_id] = line.entry
    if not rows:
        return Section(SAYS["decisions"], (Paragraph(SAYS["no decisions"]),))
    return Section(SAYS["decisions"], (Numbers(SAYS["decisions"], _HEAD, tuple(rows)),))


def _rows(line: HistoryLine, before: RunEntry | None) -> list[tuple[Words, ...]]:
    """A row for each reading that was changed; one for a decision."""
    changes = [] if line.is_decision or before is None or line.entry is None else _changes(before, line.entry)
    who = SAYS[line.actor] if line.actor in (ActorKind.BENCH, ActorKind.SIMULATOR) else line.actor
    reason: Words = SAYS["words removed"] if line.words_removed else line.reason or ABSENT
    run = (str(line.bench_number), str(line.run_number))
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
