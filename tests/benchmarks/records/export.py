"""The table of runs as CSV beside `pandas.DataFrame.to_csv` of the same columns in memory; its memory.

The records are made anew (SQLite, 36 runs a practical, each with the whole of a kept result). The export is
a process of its own: it reads the records and writes the table to nowhere, as a package does. Its peak is
that of its resident memory beyond what it had with the application loaded. pandas writes as many rows of the
same columns as surely fit into memory, numbers as numbers; the ratio is that of their speeds a row.
"""

from __future__ import annotations

import io
import itertools
import json
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from sqlalchemy import insert, update

from app.analysis.analyse import analyse_class
from app.analysis.views.json import as_plain_data
from app.exports.package import Order, Package, Part, kept_of
from app.exports.tidy.column import Kind
from app.exports.tidy.columns import RUNS
from app.exports.tidy.csv_text import CsvText
from app.exports.tidy.rows import run_rows
from app.practicals.archive.search import Filters
from app.practicals.out.whole import practicals_to_export, read_one_by_one
from app.practicals.people.sessions import identity
from app.practicals.runs.entry import columns_of
from app.records.choices import ActorKind
from app.records.engine import Database
from app.records.migrate import open_database
from app.records.models import Bench, KeptResult, Run, RunVersion, Teacher
from tests.analysis.classes import LEAD, simulated_runs
from tests.benchmarks.records.filled import fill
from tests.practicals.a_class import NOW, a_teacher, an_entry

BENCHES, RUNS_OF_A_BENCH = 12, 3
OF_A_PRACTICAL = BENCHES * RUNS_OF_A_BENCH
AT_ONCE = 100
FROM_MEMORY = 50_000
TURNS = 3


def measure(runs: int) -> None:
    """Fill, export, compare, print."""
    with tempfile.TemporaryDirectory() as folder:
        address = f"sqlite:///{Path(folder) / 'records.db'}"
        practicals = -(-runs // OF_A_PRACTICAL)
        began = time.perf_counter()
        database = open_database(address)
        fill(database, [a_teacher(database)], practicals)
        _fill_runs(database, practicals)
        filled = time.perf_counter() - began
        print(
            f"export: {practicals * OF_A_PRACTICAL} runs in {practicals} practicals, made in {filled:.0f} s"
        )
        in_memory = _in_memory(database)
        for what in ("csv", "package"):
            for _ in range(1 if what == "package" else TURNS):
                pandas_us = _to_csv(in_memory)
                done = _exported(address, what)
                ratio = pandas_us / done["us_a_run"]
                print(
                    f"  {what}: {done['runs']} runs, {done['us_a_run']:.1f} µs a run, {ratio:.2f} of the "
                    f"speed of to_csv ({pandas_us:.1f} µs); {done['megabytes']:.0f} MB out; "
                    f"{done['memory_MB']:.0f} MB above idle"
                )
        database.close()


def _fill_runs(database: Database, practicals: int) -> None:
    """Benches, runs, versions and a whole result for each practical, past the use cases."""
    rng = np.random.default_rng(2)
    result = as_plain_data(analyse_class(simulated_runs(2, BENCHES, RUNS_OF_A_BENCH), LEAD))
    for first in range(1, practicals + 1, AT_ONCE):
        ids = range(first, min(first + AT_ONCE, practicals + 1))
        benches: list[dict[str, Any]] = [
            {"id": (one - 1) * BENCHES + number, "practical_id": one, "number": number, "bench_key": "x"}
            | {"joined_at": NOW, "progress_at": NOW, "last_seen_at": NOW}
            for one in ids
            for number in range(1, BENCHES + 1)
        ]
        runs = [
            {"id": (bench["id"] - 1) * RUNS_OF_A_BENCH + number, "number": number, "created_at": NOW}
            | {"practical_id": bench["practical_id"], "bench_id": bench["id"]}
            | {"idempotency_key": f"{bench['id']:024x}{number:08x}", "body_digest": "x"}
            for bench in benches
            for number in range(1, RUNS_OF_A_BENCH + 1)
        ]
        versions = [
            {"run_id": run["id"], "version": 1, "reason": "", "actor_kind": ActorKind.BENCH, "at": NOW}
            | _readings(rng)
            for run in runs
        ]
        with database.writing() as session:
            session.execute(insert(Bench), benches)
            session.execute(insert(Run), runs)
            session.execute(insert(RunVersion), versions)
            kept = update(KeptResult).where(KeptResult.practical_id.in_(ids))
            session.connection().exec_driver_sql("DROP TRIGGER IF EXISTS ck_kept_result_written_once")
            session.execute(kept.values(result=result))


def _readings(rng: np.random.Generator) -> dict[str, Any]:
    """A run as typed: masses to the gram, temperatures to a tenth."""
    start = rng.integers(170, 230) / 10
    end = start + rng.integers(15, 35) / 10
    return columns_of(an_entry(str(rng.integers(250, 900)), f"{start:.1f}", f"{end:.1f}"))


def _in_memory(database: Database) -> pd.DataFrame:
    """The table's columns as pandas holds them: numbers as numbers, texts as texts."""
    ids = list(range(1, FROM_MEMORY // OF_A_PRACTICAL + 1))
    rows = itertools.chain.from_iterable(
        run_rows(whole, kept_of(whole)) for whole in read_one_by_one(database, ids, for_tables=True)
    )
    frame = pd.DataFrame(rows, columns=list(RUNS.names))
    for column in RUNS.columns:
        if column.kind in (Kind.DECIMAL, Kind.WHOLE):
            frame[column.name] = pd.to_numeric(frame[column.name])
    return frame


def _to_csv(frame: pd.DataFrame) -> float:
    """Microseconds of processor time a row."""
    began = time.process_time()
    frame.to_csv(io.StringIO(), index=False)
    return (time.process_time() - began) / len(frame) * 1e6


def _exported(address: str, what: str) -> dict[str, float]:
    called = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.records.export", address, what],
        capture_output=True,
        text=True,
        check=True,
    )
    found: dict[str, float] = json.loads(called.stdout)
    return found


def _export(address: str, what: str) -> None:
    """Export everything, in this process, and print what it took."""
    from app import create_app
    from app.settings import Settings

    with tempfile.TemporaryDirectory() as folder:
        create_app(Settings.from_environment({"PLUMBFALL_DATA": folder, "DATABASE_URL": address}))
    database = Database(address)
    with database.reading() as session:
        teacher = identity(session.get_one(Teacher, 1))
    ids = practicals_to_export(database, actor=teacher, filters=Filters())
    idle, began = _resident_kB("VmRSS"), time.process_time()
    _forget_peak()
    written = runs = 0
    practicals = read_one_by_one(database, ids, for_tables=True)
    if what == "csv":
        text = CsvText(RUNS)
        for whole in practicals:
            written += len(text.rows(run_rows(whole, kept_of(whole))))
            runs += len(whole.runs)
    else:
        order = Order(frozenset({Part.TABLES}), {}, "0", b"", str, lambda moment: moment, lambda _whole: None)
        package = Package(order)
        written = sum(len(piece) for piece in package.pieces(practicals, lambda: None))
        runs = package.counts["runs"]
    spent = time.process_time() - began
    peak = _resident_kB("VmHWM") - idle
    print(
        json.dumps(
            {
                "runs": runs,
                "us_a_run": spent / runs * 1e6,
                "megabytes": written / 1e6,
                "memory_MB": peak / 1024,
            }
        )
    )
    database.close()


def _resident_kB(name: str) -> int:
    """A figure of this process's memory, as Linux has it (proc(5), "status")."""
    found = re.search(rf"{name}:\s+(\d+) kB", Path("/proc/self/status").read_text(encoding="ascii"))
    assert found
    return int(found.group(1))


def _forget_peak() -> None:
    """Let the peak begin anew (proc(5), "clear_refs")."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")


if __name__ == "__main__":
    _export(*sys.argv[1:])
