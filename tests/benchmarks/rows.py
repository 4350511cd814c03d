"""What a benchmark found: rows of a table, each a figure of ours beside another one of the same run."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from statistics import median

ROUNDS = 5


@dataclass(frozen=True)
class Row:
    """One line of the table: ours, what it is held against, and their ratio, as medians over the rounds."""

    what: str
    against: str
    ours: float
    theirs: float | None
    unit: str
    ratio: float | None
    aim: str
    rounds: int = 1


def side_by_side(
    what: str,
    against: str,
    unit: str,
    aim: str,
    *,
    ours: Callable[[], float],
    theirs: Callable[[], float],
    rounds: int = ROUNDS,
) -> Row:
    """Both sides in turns, each first every other time; the ratio is the median of the rounds' ratios."""
    pairs = []
    for number in range(rounds):
        if number % 2:
            beside = theirs()
            pairs.append((ours(), beside))
        else:
            own = ours()
            pairs.append((own, theirs()))
    return Row(
        what,
        against,
        median(own for own, _ in pairs),
        median(other for _, other in pairs),
        unit,
        median(own / other for own, other in pairs),
        aim,
        rounds,
    )


def table(rows: Iterable[Row]) -> str:
    """The rows for a terminal."""
    lines = [f"{'what':46} {'against':44} {'ours':>9} {'theirs':>9} {'unit':12} {'ratio':>6}  aim"]
    for row in rows:
        theirs = "" if row.theirs is None else f"{row.theirs:9.4g}"
        ratio = "" if row.ratio is None else f"{row.ratio:6.2f}"
        lines.append(
            f"{row.what:46} {row.against:44} {row.ours:9.4g} {theirs:>9} {row.unit:12} {ratio:>6}  {row.aim}"
        )
    return "\n".join(lines)


def as_json(rows: Iterable[Row]) -> str:
    """The same for a program."""
    return json.dumps([asdict(row) for row in rows], ensure_ascii=False, indent=1)
