"""Reasons for a second look at a run: each a rule, a figure, its threshold and a sentence. Never a deletion.

Residuals are compared on a scale where runs with different masses and inversions are alike: the warming
against what is typical of this class for that energy and mass, in units of the thermometer's resolution
and the class's own scatter together (`typical`).
"""

from __future__ import annotations

import numpy as np

from app.analysis.columns import Columns, Flags, Floats
from app.analysis.doubt.bench_flags import flag_benches
from app.analysis.doubt.checks import FEWEST_RUNS, InputChecks
from app.analysis.doubt.impossible import possible_masses
from app.analysis.doubt.typical import Typical
from app.analysis.results import ClassSettings, Flag
from app.analysis.views.spread import BenchScatter
from app.physics.rounding import one_decimal, short
from app.statistics.domain import OutsideDomain
from app.statistics.influence import influence
from app.statistics.outliers import MODIFIED_Z_LIMIT, generalized_esd
from app.words import N_, Message

ESD_FEWEST = 15
"""Rosner's approximation holds from about 15 values (NIST/SEMATECH e-Handbook, 1.3.5.17.3)."""
ESD_SIGNIFICANCE = 0.01
"""Few clean runs shall be flagged, at most 2 % in `tests.benchmarks.calibration` (our own choice)."""
STUDENTIZED_FEWEST = 6
"""Four degrees of freedom are left for the scatter without the run (our own choice)."""
STUDENTIZED_SIGNIFICANCE = 0.01
"""As for the generalized ESD test (our own choice)."""
LEAST_SCORE = 3.0
"""No comparison flags a run nearer to the class than this many standard deviations, resolution included
(three standard deviations: common practice, no source)."""


def flag_runs(
    cols: Columns,
    checks: InputChecks,
    class_: Typical | None,
    scatter: BenchScatter,
    settings: ClassSettings,
) -> dict[int, list[Flag]]:
    """All flags by the position of the run."""
    flags = {i: list(reasons) for i, reasons in checks.flags.items()}
    cold = cols.warming <= 1e-6
    if cold.any():
        for i in np.flatnonzero(cold):
            flags.setdefault(int(i), []).append(_no_warming(float(cols.warming[i])))
    _too_much_heat(cols, class_, settings, flags)
    if class_ is None or int(cols.counted.sum()) < FEWEST_RUNS:
        return flags
    score = np.where(cols.workable, class_.score, 0.0)
    if class_.sink:
        # What such a run should have warmed by depends on its mass: nothing to compare with.
        score = np.where(possible_masses(cols.mass), score, 0.0)
    size = np.abs(score)
    if float(size.max()) > LEAST_SCORE:
        _modified_z(cols, class_, score, flags)
        far = size > LEAST_SCORE
        _together(cols, score, far, flags)
        _influential(cols, class_, far, flags)
        flag_benches(cols, class_, far, scatter, flags)
    return flags


def _no_warming(warming: float) -> Flag:
    if warming < -1e-6:
        return Flag(
            "no-warming",
            Message(
                N_("The shot ends %(drop)s °C colder than it started: it should have warmed up."),
                {"drop": short(-warming)},
            ),
            figure=warming,
            threshold=0.0,
        )
    return Flag(
        "no-warming",
        Message(N_("Start and end temperature are the same, so this run gives no specific heat capacity.")),
        figure=0.0,
        threshold=0.0,
    )


def _too_much_heat(
    cols: Columns, class_: Typical | None, settings: ClassSettings, flags: dict[int, list[Flag]]
) -> None:
    """Runs whose shot alone holds clearly more heat than the falls gave: c·w > e, whatever the class reads.

    Clearly: by more than 3.5 times the thermometer's uncertainty and 6 % of technique together. Not used
    where the class as a whole reads a fifth below the accepted value: then the metal is another one (6 % and
    a fifth: our own choice). The sentence
    names a tube warmer than the shot first: a published student's report of chilled shot has two such runs.
    """
    accepted = settings.accepted_J_per_kg_K
    if class_ is not None and class_.c < 0.8 * accepted:
        return
    most = np.where(cols.workable, cols.energy, np.inf) / accepted
    excess = cols.warming - most
    limit = MODIFIED_Z_LIMIT * np.sqrt(cols.u_warming**2 + (0.06 * most) ** 2)
    for i in np.flatnonzero(cols.workable & (excess > limit)):
        warming, possible = float(cols.warming[i]), float(most[i])
        flags.setdefault(int(i), []).append(
            Flag(
                "more-heat-than-energy",
                Message(
                    N_(
                        "It warmed by %(warming)s °C, but the falls as entered can warm this shot by "
                        "%(possible)s °C at most. A tube warmer than the shot does this, and so does a wrong "
                        "reading or count."
                    ),
                    {"warming": short(warming), "possible": short(possible)},
                ),
                figure=warming,
                threshold=possible + float(limit[i]),
            )
        )


def _modified_z(cols: Columns, class_: Typical, score: Floats, flags: dict[int, list[Flag]]) -> None:
    for i in np.flatnonzero(np.abs(score) > MODIFIED_Z_LIMIT):
        warming, expected = float(cols.warming[i]), float(class_.warming[i])
        template = (
            N_(
                "It warmed by %(warming)s °C; a run like this in this class warms by about %(expected)s "
                "°C. The difference is %(times)s times the usual scatter."
            )
            if warming > 1e-6
            else N_(
                "It should have warmed by about %(expected)s °C, like the rest of the class. The difference "
                "is %(times)s times the usual scatter."
            )
        )
        flags.setdefault(int(i), []).append(
            Flag(
                "modified-z",
                Message(
                    template,
                    {
                        "warming": short(warming),
                        "expected": short(expected),
                        "times": one_decimal(abs(float(score[i]))),
                    },
                ),
                figure=float(score[i]),
                threshold=MODIFIED_Z_LIMIT,
            )
        )


def _together(cols: Columns, score: Floats, far: Flags, flags: dict[int, list[Flag]]) -> None:
    """Rosner's generalized ESD over the counted runs: finds outliers that hide one another."""
    counted = np.flatnonzero(cols.counted)
    if len(counted) < ESD_FEWEST:
        return
    values = np.clip(score[counted], -1e6, 1e6)
    found = generalized_esd(values, max(1, min(len(values) // 4, 10)), ESD_SIGNIFICANCE)
    number = int(np.count_nonzero(far[counted[list(found.outliers)]]))
    for place, position in enumerate(found.outliers):
        i = int(counted[position])
        if far[i]:
            flags.setdefault(i, []).append(
                Flag(
                    "generalized-esd",
                    Message(
                        N_(
                            "Together, %(number)s runs stand apart from the rest of the class; this is "
                            "one of them."
                        ),
                        {"number": str(number)},
                    )
                    if number > 1
                    else Message(N_("It stands apart from all other runs of the class.")),
                    figure=found.r[place],
                    threshold=found.critical[place],
                )
            )


def _influential(cols: Columns, class_: Typical, far: Flags, flags: dict[int, list[Flag]]) -> None:
    """Externally studentized residuals and Cook's distances of warming against expected warming.

    The line through the origin over the counted runs, each in units of its own scale, which is the least sd
    that the residuals are judged by. Bonferroni's limit for the former; Cook's distance above 4/n is a
    further reason for a run already flagged, never one by itself.
    """
    counted = np.flatnonzero(cols.counted)
    if len(counted) < STUDENTIZED_FEWEST:
        return
    scale = class_.scale[counted]
    try:
        found = influence(class_.warming[counted] / scale, cols.warming[counted] / scale, floor_sd=1.0)
    except OutsideDomain:
        return
    limit = found.bonferroni_limit(STUDENTIZED_SIGNIFICANCE)
    for place in np.flatnonzero(far[counted]).tolist():
        i, t, distance = int(counted[place]), found.studentized[place], found.cooks_distance[place]
        if t is not None and limit is not None and abs(t) > limit:
            flags.setdefault(i, []).append(
                Flag(
                    "studentized-residual",
                    Message(
                        N_(
                            "Leave this run out, and the others agree so well that it lies %(times)s times "
                            "their scatter away."
                        ),
                        {"times": one_decimal(abs(t))},
                    ),
                    figure=t,
                    threshold=limit,
                )
            )
        if distance is not None and distance > found.cook_limit and i in flags:
            flags[i].append(
                Flag(
                    "cooks-distance",
                    Message(
                        N_(
                            "This one run pulls the class's line towards itself: Cook's distance is "
                            "%(distance)s, and up to %(limit)s is usual."
                        ),
                        {"distance": short(distance, 2), "limit": short(found.cook_limit, 2)},
                    ),
                    figure=distance,
                    threshold=found.cook_limit,
                )
            )
