"""After a run was sent: how its warming compares, beside the bench's own runs, and c worked out line by line.

No value of another bench is shown, and the usual warming is as coarse as on the check page: neither leads
to the accepted value before the wall shows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from flask import abort, flash, g, render_template, request
from flask.typing import ResponseReturnValue

from app.physics.asking.verdict import Verdict, verdict
from app.physics.reading.readings import ReadingProblem, parse_heat_capacity
from app.physics.working import FOLLOWS, Working, check_working, shows_warming
from app.physics.working_lines import LINES, hint_about
from app.practicals.benches.own_bench import AtBench, OwnPractical, own_practical
from app.practicals.lesson.details import Plan
from app.practicals.runs.own_calculation import note_own_calculation, own_uncertainty, working_of
from app.practicals.runs.reading import RunDetails
from app.records.choices import PracticalState
from app.records.errors import Problem
from app.web.audience import audience, now
from app.web.forms import new_key
from app.web.languages import say
from app.web.phone.blueprint import blueprint
from app.web.phone.checked import usual_warming
from app.web.storage import database
from app.words import N_, Message

MOST_BARS = 6
LABELS = {
    "g": N_("gravity, in m/s²"),
    "h": N_("the fall: length less end allowance, in m"),
    "N": N_("how many falls"),
    "w": N_("the warming: END less START, in K"),
    "c": N_("your specific heat capacity, in J/(kg·K)"),
}
C = "c"


@dataclass(frozen=True)
class Bar:
    """One of the bench's runs as it is drawn, in percent of the widest."""

    number: int
    here: bool
    warming_K: Decimal
    length: float
    band_from: float
    band_to: float


@dataclass(frozen=True)
class How:
    """What a run's warming is held against."""

    bars: tuple[Bar, ...]
    verdict: Verdict


@dataclass(frozen=True)
class Worked:
    """The lines as typed: those that are right, and what is said of the first that is not."""

    typed: dict[str, str]
    right: tuple[str, ...]
    problem: Message | None = None
    working: Working | None = None
    repeats: Message | None = None

    @property
    def asked(self) -> tuple[str, ...]:
        """The lines on the page: up to the one that is asked for now."""
        return (*LINES, C)[: len(self.right) + 1]


def how_of(details: RunDetails, own: AtBench) -> How:
    """The bars of the bench's latest runs, this one among them, and the verdict on this one."""
    latest = own.runs[-MOST_BARS:]
    shown = latest if details in latest else (details, *latest[1:])
    runs = [(run, run.entry.readings.warming_K, usual_warming(run.entry, own)) for run in shown]
    # A little room beyond the widest: our own choice.
    widest = 1.05 * max(max(warming, usual[1]) for _, warming, usual in runs)
    bars = tuple(
        Bar(
            run.number,
            run.run_id == details.run_id,
            run.entry.warming_K,
            max(0.0, 100 * warming / widest),
            100 * usual[0] / widest,
            100 * usual[1] / widest,
        )
        for run, warming, usual in runs
    )
    return How(bars, verdict(details.entry.readings.warming_K, usual_warming(details.entry, own)))


def how_part(number: int, own: AtBench) -> str:
    """The same for the screen after Send, which the page's script fills in."""
    details = _run_of(number, own)
    return render_template("bench/_how.html", how=how_of(details, own), details=details, own=own)


@blueprint.get("/bench/how/<int:number>")
@audience("bench")
def how(number: int) -> ResponseReturnValue:
    """How did we do? And the first line of the bench's own calculation, or what it came to."""
    own = own_practical(database(), actor=g.bench)
    details = _run_of(number, own)
    mine = details.entry.own_heat_capacity
    working = working_of(details, own.practical.plan)
    if mine is None or working is None or working.verdict != FOLLOWS:
        return _page(own, details, Worked({}, ()))
    plan = own.practical.plan
    return _page(own, details, Worked({C: mine.raw}, LINES, None, working, _repeats(details, plan)))


@blueprint.post("/bench/how/<int:number>")
@audience("bench")
def work_out(number: int) -> ResponseReturnValue:
    """The lines so far, checked in their order; c at the end is kept with the run."""
    own = own_practical(database(), actor=g.bench)
    details = _run_of(number, own)
    worked = _checked(details, own)
    if worked.working is not None and own.practical.state != PracticalState.FINISHED:
        try:
            note_own_calculation(
                database(),
                actor=g.bench,
                run_id=details.run_id,
                key=request.form.get("key", ""),
                typed=parse_heat_capacity(worked.typed[C]),
                now=now(),
            )
        except Problem as problem:
            flash(say(problem.message), "bad")
    return _page(own, details, worked), 422 if worked.problem else 200


def _checked(details: RunDetails, own: OwnPractical) -> Worked:
    plan, readings = own.practical.plan, details.entry.readings
    gravity = float(plan.gravity_m_per_s2)
    typed = {line: request.form.get(line, "")[:100] for line in (*LINES, C)}
    right: tuple[str, ...] = ()
    for line in LINES:
        if line != LINES[0] and line not in request.form:
            return Worked(typed, right)  # asked for now, since the lines before it are right
        if hint := hint_about(line, typed[line], readings, gravity):
            return Worked(typed, right, hint)
        right = (*right, line)
    if C not in request.form:
        return Worked(typed, right)
    try:
        working = check_working(parse_heat_capacity(typed[C]), readings, gravity)
    except ReadingProblem as problem:
        return Worked(typed, right, problem.message)
    follows = working.verdict == FOLLOWS
    return Worked(
        typed,
        right,
        None if follows else working.sentence,
        working,
        _repeats(details, plan) if follows else None,
    )


def _repeats(details: RunDetails, plan: Plan) -> Message | None:
    """The uncertainty of a run's c in words."""
    found = own_uncertainty(details, plan)
    sentence = N_(
        "As far as your thermometer and your ruler go, the same readings again would give between %(low)s"
        " and %(high)s J/(kg·K) two times in three."
    )
    return None if found is None else Message(sentence, {"low": found[0], "high": found[1]})


def _run_of(number: int, own: AtBench) -> RunDetails:
    found = next((run for run in own.runs if run.number == number), None)
    return found or abort(404)


def _page(own: OwnPractical, details: RunDetails, worked: Worked) -> str:
    return render_template(
        "bench/how.html",
        own=own,
        details=details,
        how=how_of(details, own),
        worked=worked,
        warmed=shows_warming(details.entry.readings),
        labels=LABELS,
        key=new_key(),
        C=C,
    )
