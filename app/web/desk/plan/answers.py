"""The three questions before a first plan, and a plan's form filled in with their answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, ClassVar

from app.physics.reading.planning import parse_bench_count
from app.physics.reading.readings import ReadingProblem
from app.practicals.made_up.first.playing import Answers
from app.web.desk.plan.form import (
    PlanForm,
    day_of_the_lesson,
    fresh_form,
    metal_key,
    with_metal_followed,
)
from app.web.forms import TypedForm

USUALLY_AHEAD = timedelta(days=7)
"""When a first lesson is offered to be: our own choice."""


@dataclass
class AnswersForm(TypedForm):
    """The answers as typed, and the answers themselves if nothing is wrong with them."""

    FIELDS: ClassVar[Mapping[str, Callable[[str], Any]]] = {
        "planned_benches": parse_bench_count,
        "material": metal_key,
        "held_on": day_of_the_lesson,
    }
    answers: Answers | None = None


def offered_answers(today: date) -> AnswersForm:
    """What a new plan's form offers, for a lesson in a week."""
    offered = fresh_form(today + USUALLY_AHEAD).typed
    return AnswersForm({name: offered[name] for name in AnswersForm.FIELDS})


def read_answers(sent: Mapping[str, str]) -> AnswersForm:
    """Read all three; every problem is found, not only the first."""
    form = AnswersForm.of(sent, AnswersForm.FIELDS)
    benches = form.read("planned_benches", parse_bench_count)
    material, held_on = form.read("material", metal_key), form.read("held_on", day_of_the_lesson)
    if benches is not None and material is not None and held_on is not None:
        form.answers = Answers(benches, material, held_on)
    return form


def typed_again(answers: Answers) -> dict[str, Any]:
    """The answers by the fields of the plan's form, as an address carries them."""
    return {
        "planned_benches": str(answers.benches),
        "material": answers.material,
        "held_on": answers.held_on.isoformat(),
    }


def filled_in(form: PlanForm, sent: Mapping[str, str]) -> PlanForm:
    """The plan's form with those answers that an address brings and that can be used."""
    typed = dict(form.typed)
    for name, parse in AnswersForm.FIELDS.items():
        try:
            parse(sent.get(name, ""))
        except ReadingProblem:
            continue
        typed[name] = sent[name]
    return PlanForm(with_metal_followed(typed))
