"""A run as typed on the phone: where it asks for what, the text, the unit, what the bench called right."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import partial

from werkzeug.datastructures import MultiDict

from app.physics.asking.question import Proposal, Question, RunAsRead, TypicalRun
from app.physics.asking.questions import questions_about
from app.physics.reading.ends import PARTS, WHOLE, nothing_falls, with_allowance
from app.physics.reading.readings import Reading, ReadingProblem
from app.physics.run import QUANTITIES, Quantity
from app.practicals.runs.entry import RunEntry
from app.web.forms import TypedForm, is_key, new_key
from app.words import N_, Message

STEPS = ("weigh", "tube", "start", "count", "end", "check")
"""In the order of the work; the start temperature comes before any tipping."""


@dataclass(frozen=True)
class Field:
    """One quantity as the phone asks for it."""

    quantity: Quantity
    step: str
    label: str

    @property
    def name(self) -> str:
        """The quantity's name, which the form's field has too."""
        return self.quantity.name


_ASKED = (
    ("shot_mass", "weigh", N_("Mass of the shot")),
    ("tube_length", "tube", N_("Length of the tube, inside")),
    ("caps", "tube", N_("Caps")),
    ("settled_depth", "tube", N_("Depth of the settled shot")),
    ("end_allowance", "tube", N_("End allowance")),
    ("start_temperature", "start", N_("START temperature")),
    ("room_temperature", "start", N_("Room temperature")),
    ("inversions", "count", N_("Inversions counted")),
    ("end_temperature", "end", N_("END temperature")),
)
FIELDS: Mapping[str, Field] = {name: Field(QUANTITIES[name], step, label) for name, step, label in _ASKED}
CARRIED = tuple(field.name for field in FIELDS.values() if field.quantity.carried_over)
"""What does not change between a bench's runs."""


def names_at(step: str) -> tuple[str, ...]:
    """The fields that are looked at on one step: its own; at the check, and on one page, all of them."""
    return tuple(field.name for field in FIELDS.values() if field.step == step) or tuple(FIELDS)


def fields_as_typed(entry: RunEntry) -> tuple[Field, ...]:
    """All fields of a stored run: with the two parts of its end allowance, or with the allowance alone."""
    absent = (WHOLE,) if "settled_depth" in entry.of else PARTS
    return tuple(field for field in FIELDS.values() if field.name not in absent)


def step_after(step: str) -> str:
    """The next step."""
    return STEPS[min(STEPS.index(step) + 1, len(STEPS) - 1)]


def step_before(step: str) -> str:
    """The step before."""
    return STEPS[max(STEPS.index(step) - 1, 0)]


LONGEST_KEPT = 100
_YEARS = range(2020, 2101)


@dataclass(frozen=True)
class TypedRun:
    """What the form holds. `kept` names each unlikely reading that the bench called right, with its text."""

    key: str
    texts: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    kept: frozenset[str] = frozenset()
    start_read_at: datetime | None = None
    client_time: datetime | None = None

    def text(self, name: str) -> str:
        """The text of a field."""
        return self.texts.get(name, "")

    def unit(self, name: str) -> str:
        """The unit chosen beside a field."""
        quantity, chosen = QUANTITIES[name], self.units.get(name, "")
        return chosen if chosen in quantity.units else quantity.usual_unit

    def confirm(self, name: str) -> TypedRun:
        """The same run, with the bench's word that this reading stands."""
        return replace(self, kept=self.kept | {self.mark(name)})

    def take(self, proposal: Proposal) -> TypedRun:
        """The same run, with the proposed texts in their fields."""
        texts = {name: text for name, (text, _) in proposal.typed.items()}
        units = {name: unit for name, (_, unit) in proposal.typed.items() if unit}
        return replace(self, texts={**self.texts, **texts}, units={**self.units, **units})

    def with_everything_kept(self) -> TypedRun:
        """The same run, each of its readings already stood by: it was stored."""
        return replace(self, kept=frozenset(self.mark(name) for name in self.texts))

    def mark(self, name: str) -> str:
        """What `kept` holds for a field as it now stands; typing anything else asks again."""
        if name == "end_temperature":
            return f"{name}={self.text('start_temperature')}→{self.text(name)} {self.unit(name)}"
        return f"{name}={self.text(name)} {self.unit(name)}".strip()


@dataclass(frozen=True)
class Understood:
    """What the tool made of it: readings, and for each field at most one problem or question."""

    readings: Mapping[str, Reading]
    problems: Mapping[str, Message]
    questions: tuple[Question, ...]


def from_form(form: MultiDict[str, str]) -> TypedRun:
    """The run in a posted form, texts exactly as typed."""
    key = form.get("key", "")
    return TypedRun(
        key=key if is_key(key) else new_key(),
        texts={name: form.get(name, "") for name in FIELDS},
        units={name: form.get(f"{name}_unit", "")[:8] for name in FIELDS},
        kept=frozenset(text[:300] for text in form.getlist("kept")[:20]),
        start_read_at=moment(form.get("start_read_at", "")),
        client_time=moment(form.get("client_time", "")),
    )


def has_own_key(form: MultiDict[str, str]) -> bool:
    """Whether the form carries a key of the form that this tool makes."""
    return is_key(form.get("key", ""))


def as_button_value(proposal: Proposal) -> str:
    """What the button of a proposal sends: the texts themselves, so that it can put nothing else there."""
    return json.dumps(dict(proposal.typed), ensure_ascii=False)


def moment(text: str) -> datetime | None:
    """An instant by the phone's clock; None for anything that is not one."""
    try:
        read = datetime.fromisoformat(text[:40].replace("Z", "+00:00"))
        aware = read if read.tzinfo else read.replace(tzinfo=UTC)
        return aware.astimezone(UTC) if aware.year in _YEARS else None
    except (ValueError, OverflowError):
        return None


def understand(
    run: TypedRun, names: Iterable[str], typical: TypicalRun | None = None, depth_measured: bool = False
) -> Understood:
    """Read these fields. A question is asked only about a field named, and not again once it is kept.

    Caps and depth make the end allowance where the bench measures them (`depth_measured`), or typed one.
    """
    wanted = set(names)
    form = TypedForm({name: run.text(name) for name in FIELDS})
    readings: dict[str, Reading] = {}
    parts = _ends_needed(run, depth_measured)
    for name in FIELDS:
        quantity = QUANTITIES[name]
        needed = name in parts if name in (WHOLE, *PARTS) else quantity.needed
        read = form.read if needed and name in wanted else form.read_optional
        if reading := read(name, partial(quantity.read, unit=run.unit(name))):
            readings[name] = reading
    try:
        readings = with_allowance(readings)
    except ReadingProblem as problem:
        form.refuse("settled_depth", problem.message)
    length, allowance = readings.get("tube_length"), readings.get(WHOLE)
    if length and allowance:
        in_two_parts = all(name in readings for name in PARTS)
        for name, sentence in nothing_falls(length.value, allowance.value, in_two_parts).items():
            form.refuse(name, sentence)
    asked = questions_about(RunAsRead(readings), typical)
    return Understood(
        {name: reading for name, reading in readings.items() if name in wanted},
        {name: problem for name, problem in form.problems.items() if name in wanted},
        tuple(
            question
            for question in asked
            if question.field in wanted and run.mark(question.field) not in run.kept
        ),
    )


def _ends_needed(run: TypedRun, depth_measured: bool) -> tuple[str, ...]:
    """Caps and depth, or the allowance alone: a run typed before the plan changed is read as it was typed."""
    typed = [name for name in PARTS if run.text(name).strip()]
    return PARTS if typed or (depth_measured and not run.text(WHOLE).strip()) else (WHOLE,)
