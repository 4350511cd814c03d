"""The questions for the class in the plan's form: whether they are asked, and the teacher's own sentences."""

from __future__ import annotations

from typing import NamedTuple

from app.physics.reading.readings import ReadingProblem
from app.practicals.board.reveal import QUESTIONS, STEP_NAMES
from app.practicals.lesson.details import Plan
from app.practicals.lesson.plan import QUESTION_TOO_LONG
from app.records.choices import BoardStep
from app.records.models.practical import LONGEST_QUESTION
from app.web.forms import TypedForm
from app.words import N_, Message

ASKED = "questions_asked"
YES = "yes"
OWN = {f"question_{step.name.lower()}": step for step in BoardStep}
"""The field of the teacher's own question at each step of the wall."""
FIELDS = (ASKED, *OWN)
LONGEST_SENT = 4000
"""A text that is too long for the plan comes back whole, to be shortened."""


class QuestionField(NamedTuple):
    """A field, the step that it is about, and our own question there."""

    name: str
    step: Message
    ours: Message


def question_fields() -> list[QuestionField]:
    """In the order of the steps."""
    return [QuestionField(name, STEP_NAMES[step], QUESTIONS[step]) for name, step in OWN.items()]


def typed_questions(plan: Plan) -> dict[str, str]:
    """The fields of a plan that is stored."""
    own = {name: plan.own_questions.get(step, "") for name, step in OWN.items()}
    return {ASKED: YES if plan.questions_asked else "", **own}


def own_questions(form: TypedForm) -> dict[str, str]:
    """What the teacher typed, by step; an empty field leaves ours there."""
    read = {step: form.read_optional(name, _question) for name, step in OWN.items()}
    return {step.value: question for step, question in read.items() if question}


def _question(text: str) -> str:
    question = " ".join(text.split())
    if len(question) > LONGEST_QUESTION:
        raise ReadingProblem(Message(QUESTION_TOO_LONG, {"most": str(LONGEST_QUESTION)}))
    if any(sign == "\0" or "\ud800" <= sign <= "\udfff" for sign in question):
        raise ReadingProblem(Message(N_("The text holds a character that cannot be kept. Type it again.")))
    return question
