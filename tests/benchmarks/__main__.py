"""What the product costs, side by side with something plain in the same run. Nothing is asserted.

    python -m tests.benchmarks [NAME ...] [--list] [--json FILE] [--minutes 1]

Without names all are run but those that take long or want a folder (`--list` says which). Each prints its
table as soon as it is done; at the end come the rows of all of them as JSON, or in a file. PostgreSQL is
measured where `PLUMBFALL_TEST_DATABASE_URL` names a server.
"""

from __future__ import annotations

import argparse
import importlib
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.rows import Row, as_json, table

HERE = "tests.benchmarks"


@dataclass(frozen=True)
class Benchmark:
    """One of them. With `rows` it gives rows of the table, else it prints figures of its own."""

    module: str
    rows: Callable[[argparse.Namespace], Iterator[Row]] | None = None
    by_name_only: bool = False

    @property
    def sentence(self) -> str:
        """What it measures."""
        found = importlib.import_module(f"{HERE}.{self.module}").__doc__ or ""
        return found.strip().split("\n", 1)[0]


def _rows_of(module: str) -> Callable[[argparse.Namespace], Iterator[Row]]:
    def rows(_asked: argparse.Namespace) -> Iterator[Row]:
        found: Iterator[Row] = importlib.import_module(f"{HERE}.{module}").rows()
        return found

    return rows


def _lessons(asked: argparse.Namespace) -> Iterator[Row]:
    from tests.benchmarks.load import lessons

    return lessons.rows(asked.minutes)


BENCHMARKS = {
    **{
        name: Benchmark(f"load.{name}", _rows_of(f"load.{name}"))
        for name in ("entries", "polls", "starting", "board", "growth")
    },
    "lessons": Benchmark("load.lessons", _lessons, by_name_only=True),
    "country": Benchmark("country", _rows_of("country")),
    "analysis": Benchmark("analysis"),
    "decisions": Benchmark("decisions"),
    "connections": Benchmark("connections"),
    "planner": Benchmark("planner"),
    "records": Benchmark("records.__main__"),
    "calibration": Benchmark("calibration.__main__", by_name_only=True),
}


def main() -> None:
    parser = argparse.ArgumentParser(prog=f"python -m {HERE}", description=__doc__.split("\n", 1)[0])
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    parser.add_argument("--list", action="store_true", help="say what there is, and run nothing")
    parser.add_argument("--json", type=Path, help="the file for the rows as JSON, else standard output")
    parser.add_argument("--minutes", type=float, default=1.0, help="how long `lessons` lasts (default: 1)")
    asked = parser.parse_args()
    if unknown := set(asked.names) - set(BENCHMARKS):
        parser.error(f"there is no benchmark {', '.join(sorted(unknown))}; --list says which there are")
    if asked.list:
        for name, one in BENCHMARKS.items():
            print(f"{name:12} {one.sentence}{' (by name only)' if one.by_name_only else ''}")
        return
    found: list[Row] = []
    for name, one in BENCHMARKS.items():
        if name in asked.names or not (asked.names or one.by_name_only):
            print(f"\n{name}: {one.sentence}", flush=True)
            found += _run(one, asked)
    if asked.json:
        asked.json.write_text(as_json(found) + "\n", encoding="utf-8")
    else:
        print(f"\n{as_json(found)}")


def _run(one: Benchmark, asked: argparse.Namespace) -> list[Row]:
    if one.rows is None:
        subprocess.run([sys.executable, "-m", f"{HERE}.{one.module}"], check=False)
        return []
    found = list(one.rows(asked))
    print(table(found), flush=True)
    return found


if __name__ == "__main__":
    main()
