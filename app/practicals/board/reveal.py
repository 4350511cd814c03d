"""What the wall and the phones may show: the teacher takes the class through it step by step.

reported       who has sent how many runs, no values, so that nobody is anchored
spread         every run by bench, and the class value as a band
line           warming against fall energy with the fitted line
percent error  the accepted value, the percent error, and whether it lies inside the interval
separated      apparent value against 1/mass, with the heat taken by tube and caps set apart
ledger         where the fall energy went

Stepping back hides again what the later steps showed. The plan says whether the class is asked a question at
each step, and may have a sentence of the teacher's own for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.practicals.lesson.details import Plan, PracticalDetails
from app.practicals.lesson.permission import note_change, practical_to_run
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import BoardStep, HistoryKind
from app.records.engine import Database
from app.records.errors import Unprocessable
from app.records.models import Bench, Decision, HeldBoard, Practical, Run, RunVersion
from app.words import N_, Message

BOARD_STEPS = tuple(BoardStep)
STEP_NAMES = {
    BoardStep.REPORTED: Message(N_("Who has reported")),
    BoardStep.SPREAD: Message(N_("The spread")),
    BoardStep.LINE: Message(N_("Warming against fall energy")),
    BoardStep.PERCENT_ERROR: Message(N_("The accepted value")),
    BoardStep.SEPARATED: Message(N_("The heat taken by tube and caps")),
    BoardStep.LEDGER: Message(N_("Where the heat went")),
}
QUESTIONS = {
    BoardStep.REPORTED: Message(N_("You all have the same metal: how far apart will your values lie?")),
    BoardStep.SPREAD: Message(N_("Twice as many inversions: would the shot warm twice as much?")),
    BoardStep.LINE: Message(N_("Will our value lie above or below the one in the tables, and why?")),
    BoardStep.PERCENT_ERROR: Message(N_("What else got warm, and which way does that move our value?")),
    BoardStep.SEPARATED: Message(N_("Of every 100 J of fall energy, how many warmed the shot?")),
    BoardStep.LEDGER: Message(N_("What would you change so that more of the energy warms the shot?")),
}
"""For the class to discuss before the next step. They give nothing away that a later step shows."""


class NoSuchStep(Unprocessable):
    """Not a step of the board."""

    sentence = N_("The board has no such step. Use its forward and back controls.")


@dataclass(frozen=True)
class BoardState:
    """Where the board is."""

    step: BoardStep
    paused: bool
    bench_results_shown: bool
    revision: int

    @property
    def previous(self) -> BoardStep | None:
        """The step before, or None at the first."""
        place = BOARD_STEPS.index(self.step)
        return BOARD_STEPS[place - 1] if place else None

    @property
    def following(self) -> BoardStep | None:
        """The step after, or None at the last."""
        place = BOARD_STEPS.index(self.step)
        return BOARD_STEPS[place + 1] if place + 1 < len(BOARD_STEPS) else None


def step_reached(current: BoardStep, wanted: BoardStep) -> bool:
    """Whether a board at `current` shows what `wanted` reveals."""
    return BOARD_STEPS.index(current) >= BOARD_STEPS.index(wanted)


def question_at(plan: Plan, step: BoardStep) -> Message | str | None:
    """The teacher's own sentence as it was typed, else ours; None where the plan asks no questions."""
    if not plan.questions_asked:
        return None
    return plan.own_questions.get(step) or QUESTIONS[step]


def step_board(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    now: datetime,
    to: str | None = None,
    by: int = 0,
) -> BoardState:
    """Go to a named step, or forward (`by` = 1) or back (`by` = −1); beyond the ends nothing happens."""
    if to is not None and to not in BOARD_STEPS:
        raise NoSuchStep()
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        place = BOARD_STEPS.index(practical.board_step) + by
        wanted = BoardStep(to) if to else BOARD_STEPS[max(0, min(place, len(BOARD_STEPS) - 1))]
        if practical.board_step != wanted:
            practical.board_step = wanted
            if practical.board_paused:
                _hold(session, practical)
            note_change(session, practical, HistoryKind.BOARD_STEPPED, actor, now, wanted)
        return board_of(practical)


def pause_board(
    database: Database, *, actor: TeacherIdentity, practical_id: int, paused: bool, now: datetime
) -> BoardState:
    """Hold the board's picture still, or let it follow the class again."""
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.board_paused != paused:
            practical.board_paused = paused
            (_hold if paused else _let_go)(session, practical)
            kind = HistoryKind.BOARD_PAUSED if paused else HistoryKind.BOARD_FOLLOWS
            note_change(session, practical, kind, actor, now)
        return board_of(practical)


def show_bench_results(
    database: Database, *, actor: TeacherIdentity, practical_id: int, shown: bool, now: datetime
) -> BoardState:
    """Let the phones show the class result as far as the board has revealed it, or hide it again."""
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.bench_results_shown != shown:
            practical.bench_results_shown = shown
            kind = HistoryKind.PHONES_SHOW_RESULTS if shown else HistoryKind.PHONES_HIDE_RESULTS
            note_change(session, practical, kind, actor, now)
        return board_of(practical)


def board_of(practical: Practical | PracticalDetails) -> BoardState:
    """Where the board of a practical is."""
    return BoardState(
        practical.board_step, practical.board_paused, practical.bench_results_shown, practical.revision
    )


def _hold(session: Session, practical: Practical) -> None:
    """Remember how far the records go now; the practical's row is locked."""
    own_runs = select(Run.id).where(Run.practical_id == practical.id)
    last_bench = select(func.max(Bench.id)).where(Bench.practical_id == practical.id)
    last_version = select(func.max(RunVersion.id)).where(RunVersion.run_id.in_(own_runs))
    last_decision = select(func.max(Decision.id)).where(Decision.run_id.in_(own_runs))
    session.merge(
        HeldBoard(
            practical_id=practical.id,
            bench_id=session.scalar(last_bench) or 0,
            version_id=session.scalar(last_version) or 0,
            decision_id=session.scalar(last_decision) or 0,
        )
    )


def _let_go(session: Session, practical: Practical) -> None:
    """Follow the class again."""
    held = session.get(HeldBoard, practical.id)
    if held is not None:
        session.delete(held)
