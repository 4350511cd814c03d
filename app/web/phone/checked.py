"""What was typed, looked at: how it is understood, what is impossible or unlikely, what to expect."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from app.physics.asking.expected_range import expected_warming_range
from app.physics.asking.question import EXCHANGE, Proposal, Question
from app.physics.asking.questions import SWAPPED
from app.physics.asking.verdict import Verdict, verdict
from app.physics.energy import specific_fall_energy
from app.physics.materials import MATERIALS
from app.practicals.benches.own_bench import AtBench
from app.practicals.runs.entry import ImpossibleReading, RunEntry, check_entry
from app.web.phone.typed import FIELDS, TypedRun, Understood, as_button_value, understand
from app.words import Message

SWAPPED_ON_THE_PHONE = Question(
    "end_temperature",
    Message(SWAPPED, {"start": "{start}", "end": "{end}"}),
    proposal=Proposal(Message(EXCHANGE), {}),
)
"""The commonest slip, for the phone's script to ask about where no network is; it fills the places in."""


@dataclass(frozen=True)
class Checked(Understood):
    """What the check page shows. `ready` when the run may be sent."""

    verdict: Verdict | None = None
    """Of the warming, while the shot is still at hand."""
    entry: RunEntry | None = field(default=None, repr=False)

    @property
    def ready(self) -> bool:
        """Nothing impossible, nothing left to ask."""
        return self.entry is not None and not self.questions


def check_typed(run: TypedRun, names: Iterable[str], own: AtBench, number: int | None = None) -> Checked:
    """Read the named fields; with all of them, the whole run with what its warming might be.

    `number` is the run's among its bench's; without one it is the next run."""
    wanted = set(names)
    seen = _understood(run, wanted, own, number)
    problems = dict(seen.problems)
    complete = wanted == set(FIELDS) and not problems
    entry = RunEntry(seen.readings) if complete else None
    if entry is not None:
        try:
            check_entry(entry)
        except ImpossibleReading as impossible:
            problems[impossible.field] = impossible.message
            entry = None
    questions = tuple(question for question in seen.questions if question.field not in problems)
    if entry is None:
        return Checked(seen.readings, problems, questions)
    usual = verdict(entry.readings.warming_K, usual_warming(entry, own))
    return Checked(seen.readings, problems, questions, usual, entry)


def take_up(run: TypedRun, pressed: str, own: AtBench, number: int | None = None) -> TypedRun:
    """The run with what the pressed button proposed, if that is what is proposed for it as it now stands.

    Where a text was changed after the question was shown, the run stays as typed and is asked about anew.
    """
    for question in _understood(run, FIELDS, own, number).questions:
        if question.proposal and as_button_value(question.proposal) == pressed:
            return run.take(question.proposal)
    return run


def _understood(run: TypedRun, names: Iterable[str], own: AtBench, number: int | None = None) -> Understood:
    plan, bench = own.practical.plan, own.bench
    typical = plan.typical_run(bench.number, number or own.next_run, bench.ice_point_C)
    return understand(run, names, typical, plan.depth_measured)


def usual_warming(entry: RunEntry, own: AtBench) -> tuple[float, float]:
    """Between how many kelvin falls like these usually warm the shot, coarsely."""
    plan = own.practical.plan
    run = entry.readings
    energy = specific_fall_energy(run.fall_m, run.inversions, float(plan.gravity_m_per_s2))
    return expected_warming_range(
        energy,
        run.shot_mass_kg,
        MATERIALS[plan.material].accepted_range_J_per_kg_K,
        float(plan.for_bench(own.bench.number).thermometer_step_K or plan.thermometer_step_K),
    )
