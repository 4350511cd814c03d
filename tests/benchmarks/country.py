"""What a country's worth of practicals a day would need, simulated from costs that are measured first.

    python -m tests.benchmarks.country [--practicals 100000]

Measured here: the processor time of an entry, of a poll with nothing new, of the piece that each page fetches
after a new run, and of the result; the rows and bytes that a finished practical leaves. Assumed (our own
choice, all in `Assumed`): how a school day is cut into lessons and how a lesson goes. The day is then drawn
lesson by lesson and summed up by the minute: the busiest minute is what servers have to bear.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from sqlalchemy import func, inspect, select, text

from app.practicals.board.reveal import step_board
from app.practicals.lesson.states import finish_practical
from app.records.base import Base
from app.records.engine import Database
from tests.benchmarks.load.growth import School, milliseconds
from tests.benchmarks.rows import Row
from tests.practicals.a_class import NOW

PRACTICALS, SAMPLE = 100_000, 20


@dataclass(frozen=True)
class Assumed:
    """How a day and a lesson go. One time zone: the worst case."""

    benches: int = 12
    runs: int = 3
    lesson_minutes: int = 60
    lessons_begin_at_minutes: tuple[int, ...] = (0, 55, 125, 180, 260, 315)
    late_minutes: float = 5.0
    """How far lessons of one period begin apart (standard deviation)."""
    first_run_after_minutes: int = 15
    ask_seconds: float = 2.0
    school_days: int = 190


@dataclass(frozen=True)
class Measured:
    """Processor milliseconds of one request; rows and bytes of a practical."""

    entry_ms: float
    poll_ms: float
    piece_ms: float
    analysis_ms: float
    rows: float
    bytes: float


@dataclass(frozen=True)
class Needed:
    """What the day comes to."""

    requests: float
    busiest_polls: float
    busiest_entries: float
    busiest_pieces: float
    cores: float
    rows: float
    bytes: float


def measured(practicals: int = SAMPLE) -> Measured:
    """Costs on this machine."""
    assumed = Assumed()
    with tempfile.TemporaryDirectory() as folder:
        school = School(Path(folder), 1)
        rows, size = _stored(school.database)
        entry, poll, piece = [], [], []
        for _ in range(practicals):
            lesson = school.a_class(assumed.benches)
            entry.append(milliseconds(lesson.enter, assumed.benches * assumed.runs))
            lesson.poll_phone()
            poll.append(milliseconds(lesson.poll_phone, 20))
            piece.append(milliseconds(lesson.fetch_piece, 5))
            step_board(school.database, actor=school.teacher, practical_id=lesson.practical_id, by=1, now=NOW)
            finish_practical(school.database, actor=school.teacher, practical_id=lesson.practical_id, now=NOW)
            analysis = milliseconds(lesson.fetch_board, 1)
        more_rows, more_size = _stored(school.database)
    return Measured(
        entry_ms=float(np.median(entry)),
        poll_ms=float(np.median(poll)),
        piece_ms=float(np.median(piece)),
        analysis_ms=analysis,
        rows=(more_rows - rows) / practicals,
        bytes=(more_size - size) / practicals,
    )


def _stored(database: Database) -> tuple[int, int]:
    """Rows in all tables, and the bytes of the file."""
    there = set(inspect(database.engine).get_table_names())
    with database.reading() as session:
        rows = sum(
            session.scalar(select(func.count()).select_from(table)) or 0
            for table in Base.metadata.sorted_tables
            if table.name in there
        )
        pages, size = (session.scalar(text(f"PRAGMA {name}")) for name in ("page_count", "page_size"))
    return rows, int(pages) * int(size)


def simulated(practicals: int, cost: Measured, assumed: Assumed | None = None, seed: int = 1) -> Needed:
    """One day, drawn lesson by lesson and summed up by the minute."""
    assumed = assumed or Assumed()
    rng = np.random.default_rng(seed)
    begin = rng.choice(assumed.lessons_begin_at_minutes, practicals) + rng.normal(
        60, assumed.late_minutes, practicals
    )
    minutes = 60 + max(assumed.lessons_begin_at_minutes) + 2 * assumed.lesson_minutes + 60
    length, pages = assumed.lesson_minutes, assumed.benches + 1
    starting = np.bincount(begin.astype(int), minlength=minutes)[:minutes]
    there = np.convolve(starting, np.ones(length))[:minutes]
    span = length - assumed.first_run_after_minutes
    runs_a_minute = np.zeros(length)
    runs_a_minute[assumed.first_run_after_minutes :] = assumed.benches * assumed.runs / span
    entries = np.convolve(starting, runs_a_minute)[:minutes] / 60
    polls = there * pages / assumed.ask_seconds
    pieces = entries * pages  # each run is something new on every page of its class
    analyses = np.convolve(starting, np.eye(1, length, length - 1)[0])[:minutes] / 60
    cores = (
        entries * cost.entry_ms + polls * cost.poll_ms + pieces * cost.piece_ms + analyses * cost.analysis_ms
    ) / 1000
    return Needed(
        requests=float(60 * (polls + entries).sum()),
        busiest_polls=float(polls.max()),
        busiest_entries=float(entries.max()),
        busiest_pieces=float(pieces.max()),
        cores=float(cores.max()),
        rows=practicals * cost.rows,
        bytes=practicals * cost.bytes,
    )


def rows(practicals: int = PRACTICALS) -> Iterator[Row]:
    """The rows of this benchmark."""
    cost = measured()
    need = simulated(practicals, cost)
    days = Assumed().school_days
    what = f"{practicals} practicals a day"
    for name, figure, unit in (
        ("an entry, processor", cost.entry_ms, "ms"),
        ("a poll with nothing new, processor", cost.poll_ms, "ms"),
        ("a page's piece after a new run, processor", cost.piece_ms, "ms"),
        ("result and wall at the end, processor", cost.analysis_ms, "ms"),
        ("rows of a practical", cost.rows, "rows"),
        ("bytes of a practical", cost.bytes / 1000, "kB"),
    ):
        yield Row(name, "measured", figure, None, unit, None, "")
    for name, figure, unit in (
        ("requests", need.requests / 1e9, "10⁹ a day"),
        ("polls in the busiest minute", need.busiest_polls, "1/s"),
        ("entries in the busiest minute", need.busiest_entries, "1/s"),
        ("pieces in the busiest minute", need.busiest_pieces, "1/s"),
        ("cores in the busiest minute", need.cores, "cores"),
        ("rows", need.rows / 1e6, "10⁶ a day"),
        ("bytes", need.bytes / 1e9, "GB a day"),
        ("bytes of a school year", days * need.bytes / 1e12, "TB"),
    ):
        yield Row(name, what, figure, None, unit, None, "")


def main() -> None:
    from tests.benchmarks.rows import table

    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--practicals", type=int, default=PRACTICALS)
    print(table(rows(parser.parse_args().practicals)))


if __name__ == "__main__":
    main()
