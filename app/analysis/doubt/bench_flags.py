"""Flags for runs of a bench that as a whole is unlike the others: Mandel's h and k, Cochran's C.

They are those of ISO 5725-2 on the apparent specific heat capacities, with two cautions that a class needs.
Where the benches used different masses, h is that of c* over what the class's line c + C/m expects: a light
bench is no odd bench. And a bench scatters only if its runs differ by more than its thermometer explains:
c* = e/w makes the same step of 0.1 °C a larger step in c* where the warming is small.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.analysis.columns import LEAST_WARMING_K, Columns, Flags, Floats
from app.analysis.doubt.typical import Typical
from app.analysis.results import Flag
from app.analysis.views.spread import SIGNIFICANCE, BenchScatter
from app.physics.rounding import whole
from app.statistics.quantiles import chi_squared_upper
from app.words import N_, Message


def flag_benches(
    cols: Columns, class_: Typical, far: Flags, scatter: BenchScatter, flags: dict[int, list[Flag]]
) -> None:
    """Adds the bench's reasons to those of its runs that are `far` from the class themselves."""
    spread = scatter.spread
    suspects = np.flatnonzero(far & cols.counted).tolist()
    if not suspects:
        return
    apart = _apart(cols, class_) if class_.sink else scatter.h
    k_critical = spread.mandel_k_critical
    scattering: Sequence[bool] = ()
    if k_critical is not None and any(scatter.k[cols.bench_of[i]] > k_critical for i in suspects):
        scattering = _scattering(cols, scatter)
    largest_k = max((one for one in scatter.k if one == one), default=0.0)
    for i in suspects:
        bench = int(cols.bench_of[i])
        h, k = apart[bench], scatter.k[bench]
        reasons = flags.setdefault(i, [])
        if spread.mandel_h_critical is not None and abs(h) > spread.mandel_h_critical:
            reasons.append(
                Flag(
                    "mandel-h",
                    Message(N_("This bench as a whole lies apart from the other benches.")),
                    figure=h,
                    threshold=spread.mandel_h_critical,
                )
            )
        if k_critical is not None and k > k_critical and scattering[bench]:
            reasons.append(
                Flag(
                    "mandel-k",
                    Message(N_("The runs of this bench differ more among themselves than at other benches.")),
                    figure=k,
                    threshold=k_critical,
                )
            )
            c, critical = spread.cochran_C, spread.cochran_C_critical
            if c is not None and critical is not None and c > critical and k >= largest_k:
                reasons.append(
                    Flag(
                        "cochran",
                        Message(
                            N_(
                                "Of all the scatter (variance) between repeated runs in this class, "
                                "%(share)s %% is at this bench alone."
                            ),
                            {"share": whole(100.0 * c)},
                        ),
                        figure=c,
                        threshold=critical,
                    )
                )
        if not reasons:
            del flags[i]


def _warm(cols: Columns) -> Flags:
    """Counted runs that have an apparent specific heat capacity."""
    return cols.counted & (cols.warming > LEAST_WARMING_K)


def _apart(cols: Columns, class_: Typical) -> Floats:
    """Mandel's h of each bench (NaN: none) on the ratio of c* to what the class's line expects, ŵ/w."""
    warm = _warm(cols)
    bench = cols.bench_of[warm]
    counts = np.bincount(bench, minlength=len(cols.benches))
    sums = np.bincount(bench, class_.warming[warm] / cols.warming[warm], len(counts))
    means = np.where(counts > 0, sums / np.maximum(counts, 1), np.nan)
    here = means[counts > 0]
    sd = float(here.std(ddof=1)) if len(here) > 1 else 0.0
    return np.asarray((means - here.mean()) / sd if sd > 1e-9 else np.full(len(means), np.nan))


def _scattering(cols: Columns, scatter: BenchScatter) -> Sequence[bool]:
    """Whether a bench's runs scatter by more than u(c*) = e u(w)/w² of its thermometer (χ² test)."""
    warm = _warm(cols)
    bench = cols.bench_of[warm]
    n = np.bincount(bench, minlength=len(cols.benches))
    u = cols.energy[warm] * cols.u_warming / cols.warming[warm] ** 2
    read = (np.bincount(bench, u * u, len(n)) / np.maximum(n, 1)).tolist()
    return [
        runs > 1 and sd * sd * (runs - 1) > variance * chi_squared_upper(runs - 1, SIGNIFICANCE)
        for runs, sd, variance in zip(n.tolist(), scatter.sd, read, strict=True)
    ]
