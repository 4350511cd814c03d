"""A piece, or a thermometer's check, as a technician types it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.physics.materials import MATERIALS
from app.physics.reading.ice_point import parse_ice_point
from app.physics.reading.planning import parse_balance_step, parse_bore, parse_shot, parse_thermometer_step
from app.physics.reading.readings import Reading, ReadingProblem, parse_length
from app.practicals.kit.checks import A_YEAR
from app.practicals.kit.pieces import Figures, Piece
from app.records.choices import PieceKind
from app.web.forms import TypedForm, in_cm, in_g, in_kg, in_mm, parse_day, plain
from app.words import N_, Message


@dataclass(frozen=True)
class Field:
    """One number or word of a piece: its name in the form and in `Figures`, how it is read and shown."""

    name: str
    figure: str
    parse: Callable[[str], Any]
    shown: Callable[[Any], str]
    label: Message
    unit: str = ""
    hint: Message | None = None
    needed: bool = True


def _metal(text: str) -> str:
    if text not in MATERIALS:
        raise ReadingProblem(Message(N_("Choose the metal from the list.")))
    return text


FIELDS: Mapping[PieceKind, tuple[Field, ...]] = {
    PieceKind.TUBE: (
        Field(
            "inside_length",
            "inside_length_m",
            lambda text: parse_length(text).value,
            in_cm,
            Message(N_("Inside length")),
            "cm, m, mm, in",
            Message(N_("From end to end of the tube, caps off.")),
        ),
        Field(
            "bore",
            "bore_m",
            parse_bore,
            in_mm,
            Message(N_("Bore")),
            "mm, cm, in",
            Message(N_("Inner diameter; lets the tool work out how deep the shot settles")),
            needed=False,
        ),
        Field(
            "caps",
            "caps_m",
            lambda text: parse_length(text, may_be_zero=True).value,
            in_cm,
            Message(N_("The two caps alone take off")),
            "cm, mm",
            Message(N_("Of the length, with both caps on and no shot in the tube")),
            needed=False,
        ),
    ),
    PieceKind.THERMOMETER: (
        Field(
            "step",
            "step_K",
            parse_thermometer_step,
            plain,
            Message(N_("Step")),
            "°C",
            Message(N_("From one mark to the next, or its last digit")),
        ),
    ),
    PieceKind.BALANCE: (
        Field(
            "step",
            "step_kg",
            parse_balance_step,
            in_g,
            Message(N_("Step")),
            "g",
            Message(N_("Its last digit")),
        ),
    ),
    PieceKind.LOT: (
        Field("material", "material", _metal, lambda key: key or "", Message(N_("Metal of the shot"))),
        Field(
            "lot_mass",
            "lot_mass_kg",
            parse_shot,
            in_kg,
            Message(N_("Mass of the whole lot")),
            "kg, g",
        ),
    ),
}


@dataclass
class PieceForm(TypedForm):
    """A piece as typed, and its numbers where nothing is wrong with them."""

    kind: PieceKind = PieceKind.TUBE
    figures: Figures | None = None

    @property
    def fields(self) -> tuple[Field, ...]:
        """What is typed of a piece of this kind."""
        return FIELDS[self.kind]


def empty_form(kind: PieceKind) -> PieceForm:
    """The form of a new piece."""
    return PieceForm(dict.fromkeys(("label", *(one.name for one in FIELDS[kind])), ""), kind=kind)


def form_of_piece(piece: Piece) -> PieceForm:
    """The form of a piece that is stored."""
    shown = {one.name: one.shown(getattr(piece.figures, one.figure)) for one in FIELDS[piece.kind]}
    return PieceForm({"label": piece.label, **shown}, kind=piece.kind)


def read_piece_form(sent: Mapping[str, str], kind: PieceKind) -> PieceForm:
    """Read it; every problem is found, not only the first. The label is the use case's to refuse."""
    form = PieceForm.of(sent, ("label", *(one.name for one in FIELDS[kind])), longest=200)
    form.kind = kind
    read = {
        one.figure: (form.read if one.needed else form.read_optional)(one.name, one.parse)
        for one in form.fields
    }
    length, bore, caps = (read.get(name) for name in ("inside_length_m", "bore_m", "caps_m"))
    if length is not None and bore is not None and bore >= length:
        form.refuse("bore", Message(N_("The bore is as wide as the tube is long. Check both.")))
    if length is not None and caps is not None and caps >= length:
        form.refuse("caps", Message(N_("The caps take the whole tube, so nothing would fall. Check both.")))
    form.figures = None if form.problems else Figures(**read)
    return form


@dataclass
class CheckForm(TypedForm):
    """A check as typed, and what was read of it."""

    checked_on: date | None = None
    reading: Reading | None = None
    due_on: date | None = None


CHECK_FIELDS = ("checked_on", "ice_point", "due_on")


def fresh_check(today: date) -> CheckForm:
    """A check of today, the next one in a year."""
    return CheckForm(
        {"checked_on": today.isoformat(), "ice_point": "", "due_on": (today + A_YEAR).isoformat()}
    )


def read_check_form(sent: Mapping[str, str]) -> CheckForm:
    """Read it."""
    form = CheckForm.of(sent, CHECK_FIELDS, longest=200)
    form.checked_on = form.read("checked_on", _day)
    form.reading = form.read_optional("ice_point", parse_ice_point)
    form.due_on = form.read_optional("due_on", _day)
    return form


def _day(text: str) -> date:
    return parse_day(text, Message(N_("Give the day as year-month-day, for example 2026-09-14.")))
