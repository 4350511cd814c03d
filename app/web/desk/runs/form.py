"""A run that the teacher types for a bench, or corrects with the bench's word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.physics.asking.question import Question, RunAsRead, TypicalRun
from app.physics.asking.questions import questions_about
from app.physics.reading.text import with_unit
from app.physics.run import QUANTITIES
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.runs.entry import RunEntry
from app.web.forms import TypedForm, fingerprint, in_cm

FIELDS = ("bench_number", *QUANTITIES, "reason")


@dataclass
class RunForm(TypedForm):
    """A run as typed, and its entry if nothing is wrong with it."""

    entry: RunEntry | None = None
    questions: tuple[Question, ...] = ()

    @property
    def fingerprint(self) -> str:
        """By which the page knows that exactly these texts were asked about and are right as typed."""
        return fingerprint("\n".join(self.typed[name] for name in QUANTITIES))


def form_for_bench(plan: BenchPlanLine) -> RunForm:
    """An empty run with what the plan knows already."""
    known = {
        "tube_length": in_cm(plan.tube_length_m),
        "end_allowance": in_cm(plan.end_allowance_m),
        "inversions": "" if plan.inversions is None else str(plan.inversions),
    }
    return RunForm.of({}, FIELDS, known)


def form_of_entry(entry: RunEntry) -> RunForm:
    """The form of a stored run, as it was typed; the unit stands beside a number typed without one."""
    return RunForm.of({name: with_unit(read.raw, read.unit) for name, read in entry.of.items()}, FIELDS)


def read_run_form(form: Mapping[str, str], typical: TypicalRun) -> RunForm:
    """Read the whole form: every problem, and once what is merely unlikely."""
    found = RunForm.of(form, FIELDS)
    read = {
        name: reading
        for name, quantity in QUANTITIES.items()
        if (reading := (found.read if quantity.needed else found.read_optional)(name, quantity.read))
    }
    if found.problems:
        return found
    found.entry = RunEntry(read)
    if form.get("as_typed") != found.fingerprint:
        found.questions = questions_about(RunAsRead(read), typical)
    return found
