"""A run that the teacher types for a bench, or corrects with the bench's word."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field

from app.physics.asking.questions import questions_about
from app.physics.asking.run_as_read import Question, RunAsRead, TypicalRun
from app.physics.reading.readings import Reading, ReadingProblem, decimal_text
from app.physics.reading.text import with_unit
from app.physics.run import QUANTITIES
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.runs.entry import RunEntry
from app.words import Message


@dataclass
class RunForm:
    """What was typed, what is wrong with it, and the entry if nothing is."""

    typed: dict[str, str]
    problems: dict[str, Message] = field(default_factory=dict)
    entry: RunEntry | None = None
    questions: tuple[Question, ...] = ()

    @property
    def fingerprint(self) -> str:
        """By which the page knows that exactly these texts were asked about and are right as typed."""
        readings = "\n".join(self.typed[name] for name in QUANTITIES)
        return hashlib.sha256(readings.encode()).hexdigest()[:16]

    def problem_list(self) -> list[tuple[str, Message]]:
        """The problems in the order of the form."""
        order = ("bench_number", *QUANTITIES, "reason")
        return [(name, self.problems[name]) for name in order if name in self.problems]


def form_for_bench(plan: BenchPlanLine) -> RunForm:
    """An empty run with what the plan knows already."""
    typed = dict.fromkeys((*QUANTITIES, "reason", "bench_number"), "")
    if plan.tube_length_m is not None:
        typed["tube_length"] = f"{decimal_text(plan.tube_length_m * 100)} cm"
    if plan.end_allowance_m is not None:
        typed["end_allowance"] = f"{decimal_text(plan.end_allowance_m * 100)} cm"
    if plan.inversions is not None:
        typed["inversions"] = str(plan.inversions)
    return RunForm(typed)


def form_of_entry(entry: RunEntry) -> RunForm:
    """The form of a stored run, as it was typed; the unit stands beside a number typed without one."""
    typed = {"reason": "", "bench_number": ""}
    for name in QUANTITIES:
        reading = entry.of.get(name)
        typed[name] = "" if reading is None else with_unit(reading.raw, reading.unit)
    return RunForm(typed)


def read_run_form(form: Mapping[str, str], typical: TypicalRun) -> RunForm:
    """Read the whole form: every problem, and once what is merely unlikely."""
    typed = {name: form.get(name, "")[:1000] for name in (*QUANTITIES, "reason", "bench_number")}
    read: dict[str, Reading] = {}
    problems: dict[str, Message] = {}
    for name, quantity in QUANTITIES.items():
        if not quantity.needed and not typed[name].strip():
            continue
        try:
            read[name] = quantity.read(typed[name])
        except ReadingProblem as problem:
            problems[name] = problem.message
    entry = None if problems else RunEntry(read)
    found = RunForm(typed, problems, entry)
    if entry is not None and form.get("as_typed") != found.fingerprint:
        found.questions = questions_about(RunAsRead(read), typical)
    return found
