"""A run as a teacher types it: on the form for one run, on that of a correction, and in a row of the grid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.physics.asking.question import Question, RunAsRead, TypicalRun
from app.physics.asking.questions import questions_about
from app.physics.reading.ends import PARTS, WHOLE, with_allowance
from app.physics.reading.readings import ReadingProblem
from app.physics.reading.text import with_unit
from app.physics.run import QUANTITIES
from app.practicals.lesson.details import Plan
from app.practicals.runs.entry import ImpossibleReading, RunEntry, check_entry
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


def form_for_bench(plan: Plan, number: int, run: int) -> RunForm:
    """An empty run, of this number among its bench's, with what the plan knows already."""
    line = plan.for_bench(number)
    known = {
        "tube_length": in_cm(line.tube_length_m),
        WHOLE: "" if plan.depth_measured else in_cm(line.end_allowance_m),
        "inversions": str(plan.count_of_run(number, run)),
    }
    return RunForm.of({}, FIELDS, known)


def form_of_entry(entry: RunEntry) -> RunForm:
    """The form of a stored run, as it was typed; the unit stands beside a number typed without one."""
    typed = {name: with_unit(read.raw, read.unit) for name, read in entry.of.items()}
    if "settled_depth" in entry.of:
        typed[WHOLE] = ""  # the sum of its parts, which no bench typed
    return RunForm.of(typed, FIELDS)


def read_run_form(form: Mapping[str, str], typical: TypicalRun) -> RunForm:
    """Read the whole form: every problem, and once what is merely unlikely."""
    found = RunForm.of(form, FIELDS)
    needed = _needed(found)
    read = {
        name: reading
        for name, quantity in QUANTITIES.items()
        if (reading := (found.read if name in needed else found.read_optional)(name, quantity.read))
    }
    try:
        read = with_allowance(read)
    except ReadingProblem as problem:
        found.refuse(WHOLE, problem.message)
    if found.problems:
        return found
    entry = RunEntry(read)
    try:
        check_entry(entry)
    except ImpossibleReading as impossible:
        found.refuse(impossible.field, impossible.message)
        return found
    found.entry = entry
    if form.get("as_typed") != found.fingerprint:
        found.questions = questions_about(RunAsRead(read), typical)
    return found


def _needed(form: RunForm) -> set[str]:
    """What may not stay empty: of the tube's ends either both parts, or the allowance."""
    needed = {name for name, quantity in QUANTITIES.items() if quantity.needed}
    return (needed - {WHOLE}) | set(PARTS) if any(form.typed[name].strip() for name in PARTS) else needed
