"""What a reader must know before trusting a class's numbers."""

from __future__ import annotations

from collections import Counter

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Columns
from app.analysis.results import ClassValue, Flag
from app.physics.rounding import short
from app.words import N_, Message


def warnings_for(
    cols: Columns,
    flags: dict[int, list[Flag]],
    table: BenchTable | None,
    value: ClassValue | None,
    absent: Message | None = None,
    one_allowance: Message | None = None,
) -> tuple[Message, ...]:
    """The warnings, most important first; `absent` says why there is no class value, if there is none, and
    `one_allowance` what one end allowance for different masses may do."""
    out: list[Message] = []
    if not cols.runs:
        return (Message(N_("There are no runs.")),)
    if value is None and absent is not None:
        out.append(absent)
    if value is not None and value.interval_95 is None and value.interval_absent_because is not None:
        out.append(value.interval_absent_because)
    if one_allowance is not None:
        out.append(one_allowance)
    counted = len(cols.taken.energy)
    flagged = sum(1 for i in flags if cols.counted[i])
    if flagged:
        sentence = N_(
            "Runs flagged and still counted: %(flagged)s of %(counted)s. One that is unlike the others moves "
            "the result little; what it becomes without one is shown where you decide."
        )
        out.append(Message(sentence, {"flagged": str(flagged), "counted": str(counted)}))
    if not cols.workable.all():
        unworkable = len(cols.runs) - int(np.count_nonzero(cols.workable))
        out.append(
            Message(
                N_("Runs without any fall energy, which no fit can use: %(number)s."),
                {"number": str(unworkable)},
            )
        )
    if value is not None and value.interval_95 is not None and value.benches < 5:  # our own choice
        out.append(
            Message(
                N_("With %(benches)s benches the interval rests on very little."),
                {"benches": str(value.benches)},
            )
        )
    out.extend(_repeated(cols))
    if value is not None and table is not None:
        warming = float(cols.taken.warming.sum()) / counted
        u_warming = float(np.median(cols.taken.u_warming))
        # The first-order uncertainty is then poor: our own choice.
        if warming > 0.0 and u_warming > 0.1 * warming:
            out.append(
                Message(
                    N_(
                        "The shot warms by only about %(warming)s °C, and one reading of the warming is "
                        "uncertain by %(u)s °C: make more inversions or use a finer thermometer."
                    ),
                    {"warming": short(warming, 2), "u": short(u_warming, 2)},
                )
            )
    return tuple(out)


def _repeated(cols: Columns) -> list[Message]:
    if len({(run.bench, run.run) for run in cols.runs}) == len(cols.runs):
        return []
    seen = Counter((run.bench, run.run) for run in cols.runs)
    again = [pair for pair, number in seen.items() if number > 1]
    bench, run = again[0]
    return [
        Message(
            N_(
                "Bench %(bench)s has more than one run labelled %(run)s (such labels: %(number)s). All are "
                "used."
            ),
            {"bench": bench, "run": run, "number": str(len(again))},
        )
    ]
