"""How a run with these readings would stand in its bench and its class, by the model and the draws of a fit.

It is asked of runs that are set aside (how odd would it be, if it were counted?) and of suspected slips
(would the corrected run be among the others?). For a draw, L_b is the likelihood of the bench's counted runs
and L(case) that of the bench with the readings in question in one of its cases (`ClassModel.log_cases`).
Averaged over the draws, L(case)/L_b is proportional to the probability of the case once those readings are
known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.analysis.columns import Flags, columns
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.model import log_sum
from app.analysis.fit.stacked import stacked
from app.analysis.readings import RunReadings
from app.statistics.domain import Floats


@dataclass(frozen=True)
class Standing:
    """How one run would stand.

    `alike` is the probability of its being like the other runs of its bench, `at_home` that of this and of
    its bench's being like the others. `log_at_home` is log of the mean of L(at home)/L_b: how well these
    readings explain the bench, for comparison with other readings of the same run. `log_evidence` is the same
    over all cases: unlike runs and an unlike bench explain readings as well.
    """

    alike: float
    at_home: float
    log_at_home: float
    log_evidence: float


IN_QUESTION = "0"
NOWHERE = Standing(0.0, 0.0, -np.inf, -np.inf)
"""What stands for a run without fall energy."""


def standings(fit: ClassFit, rows: Sequence[Sequence[RunReadings]]) -> list[Standing]:
    """One for each row: the run in question first, then the other runs of its bench that count with it.

    All rows are about the same bench.
    """
    few = fit.thinned
    bench = rows[0][0].bench
    log_bench = _log_likelihood_of_bench(few, bench)
    found = [NOWHERE] * len(rows)
    together = [
        replace(fit.in_its_room(run), bench=str(k), run=str(j), set_aside=False)
        for k, row in enumerate(rows)
        for j, run in enumerate(row)
    ]
    cols = columns(together, fit.settings)
    for stack in stacked(cols, fit.settings):
        log_cases = few.model.log_cases(stack, few.values) - log_bench[:, None, None, None]
        for row, (bench_at, runs) in enumerate(zip(stack.bench.tolist(), stack.run.tolist(), strict=True)):
            labels = [cols.runs[at].run for at in runs]
            if IN_QUESTION in labels:  # else it has no energy
                alike = stack.alike[:, labels.index(IN_QUESTION)] > 0.0
                found[int(cols.benches[bench_at])] = _standing(log_cases[:, row], alike)
    return found


def _standing(log_cases: Floats, alike: Flags) -> Standing:
    """From the cases of one row, shape (draws, cases, 2)."""
    with_run = log_cases[:, alike]
    total, log_alike, log_at_home = (
        float(log_sum(cases, None)) for cases in (log_cases, with_run, with_run[:, :, 0])
    )
    return Standing(
        float(np.exp(log_alike - total)),
        float(np.exp(log_at_home - total)),
        float(log_at_home - np.log(len(log_cases))),
        float(total - np.log(len(log_cases))),
    )


def _log_likelihood_of_bench(fit: ClassFit, bench: str) -> Floats:
    """log L_b for each draw; 0 where the bench has no counted run."""
    position = fit.columns.benches.index(bench)
    for stack, log_cases in zip(fit.stacks, fit.log_cases, strict=True):
        rows = np.flatnonzero(stack.bench == position)
        if len(rows):
            return log_sum(log_cases[:, rows[0]], (1, 2))
    return np.zeros(len(fit.draws.weights))
