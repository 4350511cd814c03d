"""What the lesson report says of where the uncertainty comes from, and of what would improve the next lesson.

Every figure in it is the class's own.
"""

from __future__ import annotations

from statistics import mean, median

from app.analysis.results import ClassResult, RunResult
from app.exports.papers.report_parts import ABSENT, Abreast, Block, Numbers, Paragraph, Section
from app.figures.numbers import plain, signed
from app.physics.rounding import one_decimal, round_significant, short, value_and_u, whole
from app.web.board.report_words import SAYS
from app.words import N_, Message

# A warming known to one part in ten leaves the run's interval lopsided (JCGM 101 against the first order).
ENOUGH = 10
FEW_BENCHES = 5
WARM_K = 0.3
LARGE_SHARE = 0.25

NOTHING = Message(N_("Nothing stands out: the same plan again, with more benches, narrows the interval."))
FEWER_FLAGS = N_(
    "Runs flagged: %(flagged)s of %(runs)s. Let a second person read every figure back"
    " before the run is sent."
)
MORE_BENCHES = N_("Benches with a value: %(benches)s. From five on, the interval is worth having.")
REPEAT = Message(N_("Most benches made one run: a second run at each bench shows how well a run repeats."))
WARM_MORE = N_(
    "A typical run warmed by %(warming)s K, known to ± %(u)s K: about %(inversions)s inversions"
    " instead of %(made)s would bring the uncertainty down to a tenth of the warming."
)
START_COLDER = N_(
    "The shot was on average %(above)s K warmer than the room while it fell: start with the shot"
    " below room temperature by about half the expected warming."
)


def uncertainty(result: ClassResult) -> Section:
    """What makes the class's result and a typical run uncertain, and what would help the class most."""
    run = _run_of_budget(result)
    tables = tuple(one for one in (_class_budget(result), _run_budget(run, result)) if one.rows)
    blocks: list[Block] = [Abreast(tables, captioned=True)] if tables else []
    if run is not None:
        which = {"bench": run.readings.bench, "run": run.readings.run, "value": run_value(run)}
        blocks.append(Paragraph(Message(SAYS["typical"].template, which)))
    if result.class_budget:
        blocks += [Paragraph(SAYS["helps most"]), Paragraph(result.class_budget[0].advice)]
        blocks += [*_room_unknown(result), *_what_priors_do(result)]
    return Section(SAYS["uncertainty"], tuple(blocks))


def _class_budget(result: ClassResult) -> Numbers:
    """The largest source first."""
    rows = tuple(
        (
            line.name,
            plain(round_significant(line.standard_uncertainty_J_per_kg_K, 2)),
            plain(whole(100 * line.share_of_variance)),
        )
        for line in result.class_budget
    )
    head = (SAYS["source of u"], SAYS["share of u"], SAYS["share of variance"])
    return Numbers(SAYS["class budget"], head, rows)


def _room_unknown(result: ClassResult) -> list[Block]:
    """How large a leak may be that nobody can see, unless it is the largest line and said already."""
    if result.room_is_known:
        return []
    return [Paragraph(line.advice) for line in result.class_budget[1:] if line.source == "room"]


def _what_priors_do(result: ClassResult) -> list[Block]:
    wider = result.with_wider_priors
    if wider is None:
        return []
    if result.separated.identifiable:
        words, moves = SAYS["specific heat moves"], wider.specific_heat_moves_percent
    else:
        words, moves = SAYS["class value moves"], wider.class_value_moves_percent
    return [Paragraph(Message(words.template, {"percent": signed(one_decimal(moves))}))]


def _run_of_budget(result: ClassResult) -> RunResult | None:
    counted = [run for run in result.runs if not run.readings.set_aside and run.warming_K > 0 and run.budget]
    return typical_run(counted) if counted else None


def _run_budget(run: RunResult | None, result: ClassResult) -> Numbers:
    """What makes this run uncertain."""
    # Brings numpy, which a board's first page must not wait for.
    from app.analysis.views.runs import budget_lines  # noqa: PLC0415

    rows = tuple(
        (
            line.source,
            plain(round_significant(line.u_input, 2)),
            line.unit,
            plain(round_significant(line.contribution_J_per_kg_K, 2)),
        )
        for line in (budget_lines(run, result.settings) if run is not None else ())
    )
    head = (SAYS["source of u"], SAYS["u"], SAYS["unit"], SAYS["share of u"])
    return Numbers(SAYS["budget"], head, rows)


def run_value(run: RunResult) -> str:
    """A run's apparent specific heat capacity with its standard uncertainty."""
    value, u = run.apparent_heat_capacity_J_per_kg_K, run.standard_uncertainty_J_per_kg_K
    return ABSENT if value is None else value_and_u(value, u)


def next_time(result: ClassResult) -> tuple[Message, ...]:
    """Advice, the weightiest first. Every figure in it is the class's own."""
    counted = [run for run in result.runs if not run.readings.set_aside]
    if not counted:
        return ()
    advice = [
        *([] if result.separated.identifiable else [result.separated.reason]),
        *_largest_sources(result),
        *_run_quality(counted, result.settings.room_temperature_C),
        *_class_quality(result, counted),
    ]
    return tuple(advice) or (NOTHING,)


def _largest_sources(result: ClassResult) -> list[Message]:
    """Against the sources that make most of the uncertainty of the result, by the class's fit."""
    return [line.advice for line in result.class_budget[:2] if line.share_of_variance >= LARGE_SHARE]


def _run_quality(counted: list[RunResult], of_class_C: float | None) -> list[Message]:
    warmed = [run for run in counted if run.warming_K > 0]
    if not warmed:
        return []
    advice = []
    typical = typical_run(warmed)
    warming, u = typical.warming_K, typical.u_warming_K
    if u > 0 and warming / u < ENOUGH:
        wanted = typical.readings.inversions * ENOUGH * u / warming
        values = {
            "warming": round_significant(warming, 2),
            "u": round_significant(u, 2),
            "inversions": round_significant(wanted, 2),
            "made": short(typical.readings.inversions, 6),
        }
        advice.append(Message(WARM_MORE, values))
    return advice + _heat_leak(warmed, of_class_C)


def typical_run(runs: list[RunResult]) -> RunResult:
    """The run whose warming is nearest the median."""
    middle = median(run.warming_K for run in runs)
    return min(runs, key=lambda run: abs(run.warming_K - middle))


def _heat_leak(warmed: list[RunResult], of_class_C: float | None) -> list[Message]:
    """Against shot that was warmer than the room, by a run's own room temperature or else the class's.

    The class's room was read on another thermometer: what the run's own shows in melting ice is taken off.
    """
    above = []
    for run in warmed:
        own_C, start_C = run.readings.room_temperature_C, run.readings.start_temperature_C
        room_C, high_K = (of_class_C, run.readings.ice_point_C or 0.0) if own_C is None else (own_C, 0.0)
        if room_C is not None:
            above.append((start_C + run.readings.end_temperature_C) / 2 - high_K - room_C)
    if above and mean(above) > WARM_K:
        return [Message(START_COLDER, {"above": round_significant(mean(above), 2)})]
    return []


def _class_quality(result: ClassResult, counted: list[RunResult]) -> list[Message]:
    advice = []
    benches = [bench for bench in result.benches if bench.apparent_heat_capacity_J_per_kg_K is not None]
    if len(benches) < FEW_BENCHES:
        advice.append(Message(MORE_BENCHES, {"benches": str(len(benches))}))
    if benches and median(bench.runs for bench in benches) < 2:
        advice.append(REPEAT)
    flagged = sum(bool(run.flags) for run in result.runs)
    if flagged:
        values = {"flagged": str(flagged), "runs": str(len(result.runs))}
        advice.append(Message(FEWER_FLAGS, values))
    return advice
