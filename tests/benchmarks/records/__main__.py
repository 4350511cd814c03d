"""What the department's records cost. Each part has a file of its own here.

    python -m tests.benchmarks.records [--practicals 10000] [--runs 1000000] [--only lists]

Figures of one kind are measured in turns, so that a busy machine slows both sides; ratios are what counts.
"""

from __future__ import annotations

import argparse

from tests.benchmarks.records import export, lists

PARTS = {
    "lists": lambda asked: lists.measure(asked.practicals),
    "export": lambda asked: export.measure(asked.runs),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--practicals", type=int, default=10_000)
    parser.add_argument("--runs", type=int, default=1_000_000)
    parser.add_argument("--only", choices=sorted(PARTS))
    asked = parser.parse_args()
    for name, part in PARTS.items():
        if asked.only in (None, name):
            part(asked)


if __name__ == "__main__":
    main()
