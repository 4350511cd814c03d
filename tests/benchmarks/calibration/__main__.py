"""Does the analysis keep its promises? Simulated classes whose truth is known, and the targets beside them.

    python -m tests.benchmarks.calibration --folder DIR [--classes 20] [--parts 1] [--processes 1]
    [--only TEXT] [--table]

Each class is simulated fall by fall (tests.simulated_room) and goes once through `analyse_class`;
everything is counted from what the product would show. Classes come in parts of `--classes`; each finished
part of a setting is a file in the folder and is not done again, so that the run can be stopped and resumed,
all settings grow together, and more parts add classes. A folder belongs to one state of the code. `--table`
prints what is there and works nothing out.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from multiprocessing import get_context
from pathlib import Path

from tests.benchmarks.calibration.one_class import Figures
from tests.benchmarks.calibration.parts import Part, run_part
from tests.benchmarks.calibration.settings import SETTINGS
from tests.benchmarks.calibration.table import tables


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--classes", type=int, default=20, help="classes in one part of a setting")
    parser.add_argument("--parts", type=int, default=1)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--only", default="", help="settings whose name contains this")
    parser.add_argument("--table", action="store_true", help="print what is there and do nothing")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    names = [name for name in SETTINGS if options.only in name]
    if not options.table:
        _work(list(_missing(options, names)), options.processes)
    for line in tables({name: classes for name in names if (classes := _found(options.folder, name))}):
        print(line)


def _work(parts: list[Part], processes: int) -> None:
    with get_context("spawn").Pool(processes) as pool:
        for number, name in enumerate(pool.imap(run_part, parts), 1):
            print(f"{number} of {len(parts)}: {name}", flush=True)


def _missing(options: argparse.Namespace, names: list[str]) -> Iterator[Part]:
    for number in range(options.parts):
        for name in names:
            part = Part(options.folder, name, number, options.classes)
            if not part.file.exists():
                yield part


def _found(folder: Path, name: str) -> list[Figures]:
    files = sorted(folder.glob(f"{Part(folder, name, 0, 0).stem}.*.json"))
    return [one for file in files for one in json.loads(file.read_text(encoding="utf-8"))]


if __name__ == "__main__":
    main()
