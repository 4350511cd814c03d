"""Plant a sample of small faults, one at a time, and say which ones no test of their room notices.

    python -m tests.mutants --sample 150 --seed 1 [--in app/analysis] [--browser]

The faults are flipped comparisons, signs, changed constants and dropped calls, drawn with the seed from every
module below --in. Each is planted in a copy of the tree, where the tests of that room run until the first
failure. Browser tests take longest and are left out unless asked for. The list is for a person to read: a
fault that changes nothing cannot be noticed.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.mutants.faults import Fault, faults_in
from tests.mutants.rooms import modules, rooms_of

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", "__pycache__", ".hypothesis", ".*_cache", "*.egg-info", "instance"
)
LONGEST_S = 900


def sample(root: Path, below: str, how_many: int, seed: int) -> list[Fault]:
    """So many different faults; the same ones for the same tree and seed."""
    every = [
        fault
        for module in modules(root)
        if module.startswith(below)
        for fault in faults_in(module, (root / module).read_text(encoding="utf-8"))
    ]
    return random.Random(seed).sample(every, min(how_many, len(every)))


def noticed(tree: Path, fault: Fault, browser: bool) -> bool:
    """Whether a test fails in the copy with this fault in it. A run that does not end is noticed too."""
    file, tests = tree / fault.path, rooms_of(fault.path, tree)
    text = file.read_text(encoding="utf-8")
    file.write_text(fault.planted_in(text), encoding="utf-8")
    try:
        return _run(tree, [*tests, *(["tests/browser"] if browser else [])]) != 0
    except subprocess.TimeoutExpired:
        return True
    finally:
        file.write_text(text, encoding="utf-8")


def _run(tree: Path, tests: list[str]) -> int:
    """pytest's status in the copy: 0 passed, 1 failed; an import that breaks is 2 or 4."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:cacheprovider", *tests]
    environment = {**os.environ, "HYPOTHESIS_PROFILE": "unshrunk"}
    done = subprocess.run(
        command, cwd=tree, env=environment, capture_output=True, timeout=LONGEST_S, check=False
    )
    return done.returncode


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("--sample", type=int, default=150, help="how many faults")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--in", dest="below", default="app", help="only modules whose path begins so")
    parser.add_argument("--browser", action="store_true", help="run the browser tests too")
    asked = parser.parse_args()
    chosen = sample(ROOT, asked.below, asked.sample, asked.seed)
    missed = []
    with tempfile.TemporaryDirectory(prefix="mutants") as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(ROOT, tree, ignore=LEFT_OUT)
        rooms = sorted({room for fault in chosen for room in rooms_of(fault.path, tree)})
        if chosen and _run(tree, rooms) != 0:
            print("The tests fail without any fault. Mend that first.", file=sys.stderr)
            return 1
        for fault in chosen:
            seen = noticed(tree, fault, asked.browser)
            print("noticed    " if seen else "NOT NOTICED", fault, flush=True)
            missed += [] if seen else [fault]
    print(f"\nfaults: {len(chosen)}, noticed: {len(chosen) - len(missed)}, not noticed: {len(missed)}")
    for fault in missed:
        print("  ", fault)
    return 0


if __name__ == "__main__":
    sys.exit(main())
