"""A run that the teacher types for a bench, or corrects with the bench's word."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from app.physics.asking.questions import questions_about
from app.physics.asking.run_as_read import Question, RunAsRead, TypicalRun
from app.physics.reading.readings import (
    Reading,
    ReadingProblem,
    decimal_text,
    parse_count,
    parse_length,
    parse_mass,
    parse_temperature,
)
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.runs.entry import RunEntry
from app.words import Message

PARSERS: dict[str, Callable[[str], Reading]] = {
    "shot_mass": parse_mass,
    "tube_length": parse_length,
    "end_allowance": lambda text: parse_length(text, may_be_zero=True),
    "inversions": parse_count,
    "start_temperature": parse_temperature,
    "end_temperature": parse_temperature,
    "room_temperature": parse_temperature,
}
MAY_STAY_EMPTY = ("room_temperature",)


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
        readings = "\n".join(self.typed[name] for name in PARSERS)
        return hashlib.sha256(readings.encode()).hexdigest()[:16]

    def problem_list(self) -> list[tuple[str, Message]]:
        """The problems in the order of the form."""
        order = ("bench_number", *PARSERS, "reason")
        return [(name, self.problems[name]) for name in order if name in self.problems]


def form_for_bench(plan: BenchPlanLine) -> RunForm:
    """An empty run with what the plan knows already."""
    typed = dict.fromkeys((*PARSERS, "reason", "bench_number"), "")
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
    for name in PARSERS:
        reading = getattr(entry, name)
        typed[name] = "" if reading is None else with_unit(reading.raw, reading.unit)
    return RunForm(typed)


def with_unit(raw: str, unit: str) -> str:
    """The typed text with the unit that was understood, unless a unit was typed."""
    text = raw.strip()
    bare = text.lstrip("+-−").replace(".", "", 1).replace(",", "", 1)
    return f"{text} {unit}" if bare.isdigit() and unit and unit != "inversions" else text


def read_run_form(form: Mapping[str, str], typical: TypicalRun) -> RunForm:
    """Read the whole form: every problem, and once what is merely unlikely."""
    typed = {name: form.get(name, "")[:1000] for name in (*PARSERS, "reason", "bench_number")}
    read: dict[str, Reading | None] = {}
    problems: dict[str, Message] = {}
    for name, parse in PARSERS.items():
        if name in MAY_STAY_EMPTY and not typed[name].strip():
            read[name] = None
            continue
        try:
            read[name] = parse(typed[name])
        except ReadingProblem as problem:
            problems[name] = problem.message
    entry = None if problems else RunEntry(**read)  # type: ignore[arg-type]
    found = RunForm(typed, problems, entry)
    if entry is not None and form.get("as_typed") != found.fingerprint:
        found.questions = questions_about(RunAsRead(**read), typical)
    return found
