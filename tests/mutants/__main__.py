"""Plant a sample of small faults, one at a time, and say which ones no test notices.

    python -m tests.mutants --sample 150 --seed 1 [--in app/analysis] [--browser] [--at-most 150] [--log FILE]

The faults are flipped comparisons, signs, changed constants and dropped calls, drawn with the seed from every
module below --in. The tests of their rooms run once without a fault, to note which tests run which lines.
Then each fault is planted in a copy of the tree, where the quickest tests that run its statement do so until
the first failure; where none fails, those of the whole room, which may meet it on import, in a cache or by
another process. With --at-most, only so many of the quickest that run it have a go, which takes seconds where
a room takes minutes; what they let pass counts as not noticed, so that the share is too low rather than too
high. Browser tests take longest and are left out unless asked for. A fault that makes the tests run far
longer than without it was noticed, and is counted apart. With --log, what became of each fault is kept in a
file: a run that was ended goes on from there, and leaves alone what has not changed since. The list is for a
person to read: a fault that changes nothing cannot be noticed.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from pathlib import Path, PurePosixPath

from tests.mutants.faults import Fault, faults_in
from tests.mutants.log import Log
from tests.mutants.noted import Noted
from tests.mutants.rooms import modules, rooms_of
from tests.mutants.trial import FailsAnyway, Outcome, bounds, copy_of, noted_without_a_fault, outcome

ROOT = Path(__file__).resolve().parents[2]
FIRST_TURN = 150
"""So many tests that run a fault's statement go before its whole room: our own choice."""


def sample(root: Path, below: str, how_many: int, seed: int) -> list[Fault]:
    """So many different faults; the same ones for the same tree and seed."""
    every = [
        fault
        for module in modules(root)
        if module.startswith(below)
        for fault in faults_in(module, (root / module).read_text(encoding="utf-8"))
    ]
    return random.Random(seed).sample(every, min(how_many, len(every)))


def try_out(
    root: Path, faults: list[Fault], log: Log, browser: bool, at_most: int | None
) -> dict[Fault, Outcome]:
    """What became of each fault, said as soon as it is known. Raises FailsAnyway."""
    found = {fault: known for fault in faults if (known := log.known(fault)) is not None}
    left = sorted(set(faults) - set(found), key=lambda fault: (fault.path, fault.start, fault.new))
    if not left:
        return found
    with copy_of(root) as tree:
        rooms = {
            fault: [*rooms_of(fault.path, tree), *(["tests/browser"] if browser else [])] for fault in left
        }
        noted = noted_without_a_fault(tree, sorted({room for each in rooms.values() for room in each}))
        for fault in left:
            nearest = noted.tests_that_run(fault)[: at_most or FIRST_TURN]
            turns = (nearest,) if at_most else (nearest, rooms[fault])
            found[fault] = _became(tree, fault, turns, noted)
            log.note(fault, found[fault])
            print(f"{found[fault]:<11} {fault}", flush=True)
    return found


def _became(tree: Path, fault: Fault, turns: tuple[list[str], ...], noted: Noted) -> Outcome:
    """Each turn's tests have a go, until some notice."""
    for tests in filter(None, turns):
        became = outcome(tree, fault, tests, bounds(noted.taken(tests)))
        if became is not Outcome.NOT_NOTICED:
            return became
    return Outcome.NOT_NOTICED


def report(found: dict[Fault, Outcome]) -> str:
    """Counts by room, and the faults that nobody noticed."""
    lines = []
    for room in sorted({_room(fault) for fault in found}):
        count = Counter(became for fault, became in found.items() if _room(fault) == room)
        noticed = count[Outcome.NOTICED] + count[Outcome.TOO_LONG]
        late = f", of these by running too long: {count[Outcome.TOO_LONG]}" if count[Outcome.TOO_LONG] else ""
        lines.append(f"{room}: noticed {noticed} of {count.total()}{late}")
    missed = [fault for fault, became in found.items() if became is Outcome.NOT_NOTICED]
    return "\n".join([*lines, f"not noticed: {len(missed)}", *(f"   {fault}" for fault in missed)])


def _room(fault: Fault) -> str:
    return PurePosixPath(fault.path).parts[1].removesuffix(".py")


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutants", description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--sample", type=int, default=150, help="how many faults")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--in", dest="below", default="app", help="only modules whose path begins so")
    parser.add_argument("--browser", action="store_true", help="run the browser tests too")
    parser.add_argument(
        "--at-most", type=int, help="only so many tests for each fault, of those that run its statement"
    )
    parser.add_argument(
        "--log", type=Path, help="a file to keep what became of each fault, and to go on from"
    )
    asked = parser.parse_args()
    chosen = sample(ROOT, asked.below, asked.sample, asked.seed)
    try:
        found = try_out(ROOT, chosen, Log(asked.log, ROOT), asked.browser, asked.at_most)
    except FailsAnyway as failure:
        print(f"The tests fail without any fault. Mend that first.\n{failure}", file=sys.stderr)
        return 1
    print(f"\n{report(found)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
