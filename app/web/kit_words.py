"""How the kit's pieces are named and described, on pages, labels and sheets."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flask import Flask

from app.physics.materials import MATERIALS
from app.practicals.kit.pieces import Piece
from app.records.choices import PieceKind
from app.settings import Settings
from app.web.languages import say
from app.web.numbers import plain_decimal
from app.words import N_, Message

KINDS: Mapping[PieceKind, Message] = {
    PieceKind.TUBE: Message(N_("Tube")),
    PieceKind.THERMOMETER: Message(N_("Thermometer")),
    PieceKind.BALANCE: Message(N_("Balance")),
    PieceKind.LOT: Message(N_("Lot of shot")),
}
GROUPS: Mapping[PieceKind, Message] = {
    PieceKind.TUBE: Message(N_("Tubes")),
    PieceKind.THERMOMETER: Message(N_("Thermometers")),
    PieceKind.BALANCE: Message(N_("Balances")),
    PieceKind.LOT: Message(N_("Lots of shot")),
}
ADD: Mapping[PieceKind, Message] = {
    PieceKind.TUBE: Message(N_("Add a tube")),
    PieceKind.THERMOMETER: Message(N_("Add a thermometer")),
    PieceKind.BALANCE: Message(N_("Add a balance")),
    PieceKind.LOT: Message(N_("Add a lot of shot")),
}
NAMED: Mapping[PieceKind, str] = {
    PieceKind.TUBE: N_("tube %(label)s"),
    PieceKind.THERMOMETER: N_("thermometer %(label)s"),
    PieceKind.BALANCE: N_("balance %(label)s"),
    PieceKind.LOT: N_("shot %(label)s"),
}
LEAD = "lead"


def by_kind(pieces: Iterable[Piece]) -> list[tuple[PieceKind, Message, list[Piece]]]:
    """Each kind, the heading of its pieces, and those of them."""
    there = list(pieces)
    return [
        (kind, heading, [piece for piece in there if piece.kind is kind]) for kind, heading in GROUPS.items()
    ]


def wire(app: Flask, settings: Settings) -> None:
    """Offer the filters that name and describe a piece."""
    app.jinja_env.filters.update(kind_name=kind_name, piece_figures=piece_figures, piece_named=piece_named)


def kind_name(kind: PieceKind) -> str:
    """What a piece is."""
    return say(KINDS[kind])


def piece_named(label: str, kind: PieceKind) -> str:
    """A piece within a sentence: tube T3."""
    return say(Message(NAMED[kind], {"label": label}))


def piece_figures(piece: Piece) -> str:
    """What is known of a piece, in a few words: 98.5 cm · bore 42 mm · caps 2 cm."""
    return " · ".join(say(words) for words in figures_in_words(piece))


def figures_in_words(piece: Piece) -> list[Message]:
    """The same, one by one."""
    figures = piece.figures
    found: list[Message] = []

    def add(template: str, **values: str) -> None:
        found.append(Message(template, values))

    if figures.inside_length_m is not None:
        add(N_("%(length)s cm long"), length=plain_decimal(figures.inside_length_m, 2))
    if figures.bore_m is not None:
        add(N_("bore %(bore)s mm"), bore=plain_decimal(figures.bore_m, 3))
    if figures.caps_m is not None:
        add(N_("caps take %(caps)s cm"), caps=plain_decimal(figures.caps_m, 2))
    if figures.step_K is not None:
        add(N_("step %(step)s °C"), step=plain_decimal(figures.step_K))
    if figures.step_kg is not None:
        add(N_("step %(step)s g"), step=plain_decimal(figures.step_kg, 3))
    if figures.material is not None:
        name = MATERIALS[figures.material].name if figures.material in MATERIALS else figures.material
        add("%(metal)s", metal=say(name) if isinstance(name, Message) else name)
    if figures.lot_mass_kg is not None:
        add(N_("%(mass)s kg"), mass=plain_decimal(figures.lot_mass_kg))
    return found
