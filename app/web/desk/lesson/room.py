"""The room temperature of the class: asked for when the practical opens, changed at any time after."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from statistics import median
from typing import Self

from flask import request
from flask_babel import gettext

from app.physics.asking.question import Question
from app.physics.asking.temperatures import ROOM, unlikely_room_of_class
from app.physics.reading.readings import Reading, parse_temperature
from app.physics.rounding import one_decimal
from app.practicals.board.snapshot import Snapshot
from app.practicals.lesson.details import Plan
from app.practicals.lesson.room import RoomTemperature
from app.web.forms import FormIncomplete, TypedForm, plain
from app.words import N_, Message


@dataclass
class RoomForm(TypedForm):
    """The room temperature as typed, what is unlikely about it, and the reading if it may be stored."""

    question: Question | None = None
    reading: Reading | None = field(default=None)
    overtaken: bool = False
    """Whether another temperature was stored after the page was loaded."""

    @property
    def status(self) -> int:
        """Of the page that shows the form again."""
        return 409 if self.overtaken else 422 if self.problems else 200

    @property
    def room(self) -> RoomTemperature | None:
        """What to store; None while something is wrong with it or asked about it."""
        if self.problems or self.question:
            return None
        return RoomTemperature(self.typed[ROOM].strip(), self.reading.value if self.reading else None)

    def overtake(self, stored: Decimal | None) -> None:
        """Show what was typed again, with what was stored meanwhile."""
        self.overtaken = True
        self.refuse(ROOM, _overtaken_by(stored))

    @classmethod
    def stored(cls, plan: Plan) -> Self:
        """The form as it stands before anything is typed."""
        return cls({ROOM: plan.typed.get(ROOM, "") or plain(plan.room_temperature_C)})


def read_room_form(snapshot: Snapshot) -> RoomForm:
    """What was typed. A proposed reading that was pressed takes its place; `sure` is the text to be kept.

    `seen` is what was stored when the page was loaded: nobody replaces what they have not seen. Raises
    `FormIncomplete` where the form has no such field, or none for the temperature.
    """
    if not {ROOM, "seen"} <= request.form.keys():
        raise FormIncomplete()
    sent = request.form.get("meant") or request.form.get(ROOM, "")
    form = RoomForm.of({ROOM: sent}, [ROOM])
    form.reading = form.read_optional(ROOM, parse_temperature)
    if form.problems:
        return form
    stored = snapshot.practical.plan.room_temperature_C
    unchanged = (form.reading.value if form.reading else None) == stored
    if not unchanged and request.form["seen"] != plain(stored):
        form.overtake(stored)
    elif form.reading and not unchanged and request.form.get("sure") != sent:
        form.question = unlikely_room_of_class(form.reading, starts_of(snapshot))
    return form


def _overtaken_by(stored: Decimal | None) -> Message:
    if stored is None:
        return Message(
            N_("Meanwhile the room temperature was removed. If yours is right, press the button again.")
        )
    sentence = N_(
        "Meanwhile %(known)s °C was stored as the room temperature. If yours is right, press the button "
        "again."
    )
    return Message(sentence, {"known": one_decimal(float(stored))})


def starts_of(snapshot: Snapshot) -> Iterable[float]:
    """Where the plan lets the shot start, and the middle of where it started."""
    planned = [line.start_temperature_C for line in snapshot.practical.plan.bench_plans]
    read = [run.entry.start_temperature.value for run in snapshot.runs]
    starts: list[Decimal | None] = [*planned, median(read) if read else None]
    return [float(start) for start in starts if start is not None]


def kept_words(room: RoomTemperature, snapshot: Snapshot) -> str:
    """What the teacher is told once it is stored."""
    if room.value_C is None:
        return gettext("No room temperature is kept for the class now.")
    runs = sum(1 for run in snapshot.runs if run.entry.room_temperature is None)
    if not runs:
        return gettext("The room temperature is kept.")
    return gettext(
        "The room temperature is kept. Every run without one of its own takes it (runs: %(runs)s).", runs=runs
    )
