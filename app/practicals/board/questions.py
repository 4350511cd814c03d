"""The question that the class discusses at a step of the wall, before the next one is revealed.

The plan says whether questions are asked, and may have a sentence of the teacher's own for a step. Ours give
nothing away that a later step shows.
"""

from __future__ import annotations

from app.practicals.lesson.details import Plan
from app.records.choices import BoardStep
from app.words import N_, Message

QUESTIONS = {
    BoardStep.REPORTED: Message(N_("You all have the same metal: how far apart will your values lie?")),
    BoardStep.SPREAD: Message(N_("Twice as many inversions: would the shot warm twice as much?")),
    BoardStep.LINE: Message(N_("Will our value lie above or below the one in the tables, and why?")),
    BoardStep.PERCENT_ERROR: Message(N_("What else got warm, and which way does that move our value?")),
    BoardStep.SEPARATED: Message(N_("Of every 100 J of fall energy, how many warmed the shot?")),
    BoardStep.LEDGER: Message(N_("What would you change so that more of the energy warms the shot?")),
}


def question_at(plan: Plan, step: BoardStep) -> Message | str | None:
    """The teacher's own sentence as it was typed, else ours; None where the plan asks no questions."""
    if not plan.questions_asked:
        return None
    return plan.own_questions.get(step) or QUESTIONS[step]
