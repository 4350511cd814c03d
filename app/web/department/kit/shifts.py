"""What the pieces of the kit do to results, over practicals: a table for each kind, in percent and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import g, render_template
from flask.typing import ResponseReturnValue

from app.physics.rounding import round_significant
from app.practicals.kit import pieces
from app.practicals.kit.pieces import Piece
from app.practicals.kit.shifts import shifts_of_kit
from app.practicals.kit.used import labels_of_pieces
from app.records.choices import PieceKind
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint
from app.web.kit_words import GROUPS
from app.web.storage import database, settings
from app.words import N_, Message

if TYPE_CHECKING:  # brings scipy, which a first page should not wait for
    from app.analysis.pieces import KindShifts, PieceShift

HIGH: Mapping[PieceKind, str] = {
    PieceKind.TUBE: N_(
        "as if each fall were %(cm)s cm shorter than noted, or this tube took more heat than the others"
    ),
    PieceKind.THERMOMETER: N_("as if it showed %(kelvin)s K too little of a warming of %(of)s K"),
    PieceKind.BALANCE: N_("mass hardly counts in a run's own value: look at what stood beside this balance"),
    PieceKind.LOT: N_("as if a kilogram of this lot took %(percent)s %% more heat than one of the others"),
}
LOW: Mapping[PieceKind, str] = {
    PieceKind.TUBE: N_(
        "as if each fall were %(cm)s cm longer than noted, or this tube took less heat than the others"
    ),
    PieceKind.THERMOMETER: N_("as if it showed %(kelvin)s K too much of a warming of %(of)s K"),
    PieceKind.BALANCE: HIGH[PieceKind.BALANCE],
    PieceKind.LOT: N_("as if a kilogram of this lot took %(percent)s %% less heat than one of the others"),
}
SURELY_HIGH = N_("Surely high, by about %(percent)s %%:")
SURELY_LOW = N_("Surely low, by about %(percent)s %%:")
PERHAPS_HIGH = N_("Perhaps high, by about %(percent)s %%, though one in twenty looks so by chance:")
PERHAPS_LOW = N_("Perhaps low, by about %(percent)s %%, though one in twenty looks so by chance:")
NOTHING = Message(N_("Nothing to see."))
TOO_FEW = Message(N_("Used in one practical only: too few to tell."))


@dataclass(frozen=True)
class ShiftRow:
    """One piece of a table."""

    piece: Piece
    shift: PieceShift
    words: tuple[Message, ...]
    together: tuple[str, ...]
    due: bool


@blueprint.get("/kit/shifts")
@audience("staff")
def shifts() -> ResponseReturnValue:
    """Every piece that runs name, the surest first."""
    found = shifts_of_kit(database(), actor=g.teacher)
    there = {piece.piece_id: piece for piece in pieces.pieces_of_department(database(), actor=g.teacher)}
    labels = labels_of_pieces(database(), actor=g.teacher)
    return render_template(
        "department/kit/shifts.html",
        found=found,
        tables=[
            (kind, title, shifts, _rows(kind, shifts, there, labels))
            for kind, title in GROUPS.items()
            if (shifts := found.kinds.get(kind.value))
        ],
    )


def _rows(
    kind: PieceKind, shifts: KindShifts, there: Mapping[int, Piece], labels: Mapping[int, str]
) -> tuple[ShiftRow, ...]:
    today = settings().local_day(now())
    rows = [
        ShiftRow(
            there[shift.piece],
            shift,
            sentences(kind, shift),
            tuple(labels[other] for other in shift.always_with),
            there[shift.piece].is_due(today),
        )
        for shift in shifts.pieces
    ]
    place = {piece: number for number, piece in enumerate(there)}
    surest = {"surely": 0, "perhaps": 1, "nothing to see": 2, "too few": 3}
    return tuple(sorted(rows, key=lambda row: (surest[row.shift.verdict.value], place[row.piece.piece_id])))


def sentences(kind: PieceKind, shift: PieceShift) -> tuple[Message, ...]:
    """What a piece does, in words, and what that would mean of such a piece."""
    if shift.percent is None:
        return (TOO_FEW,)
    if shift.verdict.value not in ("surely", "perhaps"):
        return (NOTHING,)
    high, off = shift.percent > 0, abs(shift.percent)
    values = {
        "cm": round_significant(off * shift.fall_m, 2),  # percents of a metre are centimetres
        "kelvin": round_significant(off / 100 * shift.warming_K, 2),
        "of": round_significant(shift.warming_K, 2),
        "percent": round_significant(off, 2),
    }
    if shift.verdict.value == "surely":
        how = SURELY_HIGH if high else SURELY_LOW
    else:
        how = PERHAPS_HIGH if high else PERHAPS_LOW
    return Message(how, values), Message((HIGH if high else LOW)[kind], values)
