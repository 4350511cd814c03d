"""Reasons for a second look at a run: each a rule, a figure, its threshold and a sentence. Never a deletion.

One rule decides: the run's probability, in the class's fit, of being unlike the others, above one half; a
bench as a whole is judged in the same way. Only what cannot be (a mass that no tube holds, no warming at all,
no end allowance where all take one, more heat than the falls gave) is a reason without that. What is odd
about the inputs (`inputs`) is then said after it.
"""

from __future__ import annotations

from app.analysis.columns import LEAST_WARMING_K, Columns
from app.analysis.doubt.inputs import Inputs
from app.analysis.doubt.warm_tube import warm_tubes
from app.analysis.fit.another_run import standings
from app.analysis.fit.class_fit import FEWEST_TO_COMPARE, ClassFit, NotFitted
from app.analysis.fit.oddness import Oddness, oddness
from app.analysis.fit.quantities import class_apparent, expected_warming
from app.analysis.readings import ClassSettings
from app.analysis.results import ODD_FROM, Flag
from app.physics.rounding import short
from app.statistics.robust import MODIFIED_Z_LIMIT
from app.words import N_, Message

UNLIKE, BENCH_UNLIKE = "unlike-the-others", "bench-unlike-the-others"
A_WARM_TUBE_EXPLAINS = frozenset({"more-heat-than-energy"})
"""Rules that alone are no reason to look for a slip of the pen."""
_IN_WORDS = (2, 3, 4, 5, 10, 20, 50, 100, 1000)  # our own choice


def how_odd(fit: ClassFit | NotFitted, cols: Columns) -> Oddness:
    """How odd each run and bench is; a run that is set aside as it would be if it were counted."""
    if isinstance(fit, NotFitted) or fit.runs < FEWEST_TO_COMPARE:
        return Oddness((None,) * len(cols.runs), (None,) * len(cols.benches))
    found = oddness(fit)
    runs = list(found.runs)
    for i, run in enumerate(cols.runs):
        if run.set_aside and cols.workable[i]:
            mates = [
                other
                for other, counted in zip(cols.runs, cols.counted.tolist(), strict=True)
                if counted and other.bench == run.bench
            ]
            (standing,) = standings(fit, [[run, *mates]])
            runs[i] = 1.0 - (standing.alike if mates else standing.at_home)
    return Oddness(tuple(runs), found.benches)


def flag_runs(
    cols: Columns, fit: ClassFit | NotFitted, odd: Oddness, inputs: Inputs, settings: ClassSettings
) -> dict[int, list[Flag]]:
    """All flags by the position of the run."""
    expected = None if isinstance(fit, NotFitted) else expected_warming(fit)
    too_hot = _too_much_heat(cols, fit, settings)
    warm = {} if isinstance(fit, NotFitted) else warm_tubes(cols, fit)
    flags: dict[int, list[Flag]] = {}
    for i in range(len(cols.runs)):
        reasons = [
            *inputs.impossible.get(i, ()),
            *inputs.forgotten_allowance(i),
            *_no_warming(float(cols.warming[i])),
            *too_hot.get(i, ()),
        ]
        if i not in inputs.impossible and expected is not None:
            bench = int(cols.bench_of[i])
            if odd.is_odd_run(i):
                reasons.append(_unlike(float(cols.warming[i]), float(expected[i]), odd.runs[i] or 0.0))
                reasons += inputs.reasons(i) or warm.get(i, ())
            elif odd.is_odd_bench(bench) and not cols.runs[i].set_aside:
                reasons.append(_bench_unlike(odd.benches[bench] or 0.0))
                reasons += inputs.reasons(i) or warm.get(i, ())
        if reasons:
            flags[i] = reasons
    return flags


def chances(probability: float) -> dict[str, str]:
    """A probability from one half on in words: at least so many chances in so many."""
    most = max(n for n in _IN_WORDS if (n - 1) / n <= max(probability, ODD_FROM))
    return {"of": str(most - 1), "in": str(most)}


def _unlike(warming: float, expected: float, probability: float) -> Flag:
    template = (
        N_(
            "It warmed by %(warming)s °C; a run like this in this class warms by about %(expected)s °C. The "
            "chances are at least %(of)s in %(in)s that it is unlike the others."
        )
        if warming > LEAST_WARMING_K
        else N_(
            "It should have warmed by about %(expected)s °C, like the rest of the class. The chances are at "
            "least %(of)s in %(in)s that it is unlike the others."
        )
    )
    values = {"warming": short(warming), "expected": short(expected), **chances(probability)}
    return Flag(UNLIKE, Message(template, values), figure=probability, threshold=ODD_FROM)


def _bench_unlike(probability: float) -> Flag:
    words = Message(
        N_(
            "The runs of this bench agree, but as a whole it lies apart from the other benches. The chances "
            "are at least %(of)s in %(in)s that it is unlike them."
        ),
        chances(probability),
    )
    return Flag(BENCH_UNLIKE, words, figure=probability, threshold=ODD_FROM)


def _no_warming(warming: float) -> list[Flag]:
    if warming < -LEAST_WARMING_K:
        words = Message(
            N_("The shot ends %(drop)s °C colder than it started: it should have warmed up."),
            {"drop": short(-warming)},
        )
    elif warming <= LEAST_WARMING_K:
        words = Message(
            N_("Start and end temperature are the same, so this run gives no specific heat capacity.")
        )
    else:
        return []
    return [Flag("no-warming", words, figure=min(warming, 0.0), threshold=0.0)]


def _too_much_heat(
    cols: Columns, fit: ClassFit | NotFitted, settings: ClassSettings
) -> dict[int, list[Flag]]:
    """Runs whose shot alone holds clearly more heat than the falls gave: c·w > e, whatever the class reads.

    Clearly: by more than 3.5 times the thermometer's uncertainty and 6 % of technique together. Not used
    where the class as a whole reads a fifth below the accepted value: then the metal is another one (6 % and
    a fifth: our own choice). The sentence names a tube warmer than the shot first: a published student's
    report of chilled shot has two such runs.
    """
    accepted = settings.accepted_J_per_kg_K
    if isinstance(fit, ClassFit) and fit.draws.median(class_apparent(fit)) < 0.8 * accepted:
        return {}
    found = {}
    for i, (warming, energy) in enumerate(zip(cols.warming.tolist(), cols.energy.tolist(), strict=True)):
        most = energy / accepted
        limit = MODIFIED_Z_LIMIT * (cols.u_warming[i] ** 2 + (0.06 * most) ** 2) ** 0.5
        if cols.workable[i] and warming - most > limit:
            words = Message(
                N_(
                    "It warmed by %(warming)s °C, but the falls as entered can warm this shot by "
                    "%(possible)s °C at most. A tube warmer than the shot does this, and so does a wrong "
                    "reading or count."
                ),
                {"warming": short(warming), "possible": short(most)},
            )
            found[i] = [Flag("more-heat-than-energy", words, figure=warming, threshold=most + limit)]
    return found
