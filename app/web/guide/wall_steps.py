"""What the guide says of each step of the wall, beside the step's own name and question."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from app.practicals.board.reveal import BOARD_STEPS, QUESTIONS, STEP_NAMES
from app.records.choices import BoardStep
from app.words import N_, Message


class WallStep(NamedTuple):
    """A step as a teacher reads of it."""

    key: str
    name: Message
    shows: Message
    question: Message
    then: Message


_SHOWS: Mapping[BoardStep, tuple[Message, Message]] = {
    BoardStep.REPORTED: (
        Message(
            N_(
                "The way in, and which benches have sent how many runs. No values, so that nobody aims at "
                "one."
            )
        ),
        Message(N_("Write their guess on the board. Ask for a number, not for “far”.")),
    ),
    BoardStep.SPREAD: (
        Message(
            N_(
                "Every run at its own bench, and the class value as a band, which is its 95 %% interval. "
                "Flagged runs have a ring, those set aside are hollow."
            )
        ),
        Message(N_("Runs of one bench agree better than benches do. What differs between benches?")),
    ),
    BoardStep.LINE: (
        Message(N_("Warming against fall energy, with the line through the origin. Its slope is 1/c*.")),
        Message(N_("Why must the line pass through the origin? What would bend it?")),
    ),
    BoardStep.PERCENT_ERROR: (
        Message(N_("The accepted value as a thin line beside the band, and the percent error.")),
        Message(N_("All of them are too high. A slip would scatter both ways: this has one cause.")),
    ),
    BoardStep.SEPARATED: (
        Message(
            N_("c* against 1/m: benches with less shot read higher. The line leads to the metal's own value.")
        ),
        Message(N_("What would a bench read with no tube around its shot?")),
    ),
    BoardStep.LEDGER: (
        Message(
            N_("Of the fall energy, how much warmed the shot, how much the tube and caps, and what is left.")
        ),
        Message(N_("Which part could be made smaller next time, and how?")),
    ),
}


def wall_steps() -> tuple[WallStep, ...]:
    """All steps of the wall, in order."""
    return tuple(
        WallStep(step.name.lower(), STEP_NAMES[step], _SHOWS[step][0], QUESTIONS[step], _SHOWS[step][1])
        for step in BOARD_STEPS
    )
