"""The department's kit: its pieces, the checks of its thermometers, and what of it a plan gives a bench."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics import limits
from app.records.base import Base, RowId, Words, bench_number_possible, ice_point_possible, possible
from app.records.choices import PieceKind, choice, only
from app.records.models.people import Teacher

LONGEST_ICE_POINT = limits.LONGEST_TYPED + 8
"""A typed reading, and the unit that was chosen beside it."""
LONGEST_LABEL = 24
"""Of a piece: it is written on it, and read across a bench (our own choice)."""

PIECE_COLUMNS = tuple(f"{kind}_id" for kind in PieceKind)
"""The columns of a run, and of a bench's kit, that name a piece; in the order of `PieceKind`."""

OF_A_KIND = {
    PieceKind.TUBE: "inside_length_m",
    PieceKind.THERMOMETER: "step_K",
    PieceKind.BALANCE: "step_kg",
    PieceKind.LOT: "lot_mass_kg",
}
"""What every piece of a kind has, and no piece of another kind."""


class KitPiece(Base):
    """A tube, a thermometer, a balance or a lot of shot, known by its label.

    A piece that a practical used is retired, not deleted: runs go on naming it.
    """

    __tablename__ = "kit_piece"
    __table_args__ = (
        UniqueConstraint("department_id", "label_key"),
        only("kind", PieceKind, name="kind_known"),
        CheckConstraint("length(label) > 0", name="label_given"),
        *(
            CheckConstraint(f"(\"{column}\" IS NULL) = (kind <> '{kind}')", name=f"{kind}_has_its_numbers")
            for kind, column in OF_A_KIND.items()
        ),
        CheckConstraint("(bore_m IS NULL AND caps_m IS NULL) OR kind = 'tube'", name="bore_of_a_tube"),
        CheckConstraint("(material IS NULL) = (kind <> 'lot')", name="metal_of_a_lot"),
        possible("inside_length_m", limits.LENGTH_M.refused_outside, above_least=True),
        possible("bore_m", limits.BORE_M),
        possible("caps_m", limits.END_ALLOWANCE_M.refused_outside),
        possible("step_K", limits.THERMOMETER_STEP_K),
        possible("step_kg", limits.BALANCE_STEP_KG),
        possible("lot_mass_kg", limits.SHOT_IN_STOCK_KG, above_least=True),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    department_id: Mapped[int] = mapped_column(ForeignKey("department.id"), doc="Whose kit it belongs to")
    kind: Mapped[PieceKind] = mapped_column(choice(PieceKind, 12), doc="Tube, thermometer, balance or lot")
    label: Mapped[str] = mapped_column(Words(LONGEST_LABEL), doc="What is written on the piece")
    label_key: Mapped[str] = mapped_column(
        Words(3 * LONGEST_LABEL), doc="The label without regard to case, by which two are the same"
    )
    inside_length_m: Mapped[Decimal | None] = mapped_column(doc="Of a tube, from end to end, caps off")
    bore_m: Mapped[Decimal | None] = mapped_column(doc="Inner diameter of a tube; None if nobody measured it")
    caps_m: Mapped[Decimal | None] = mapped_column(
        doc="What a tube's two closed caps take off its length together; None if nobody measured it"
    )
    step_K: Mapped[Decimal | None] = mapped_column(doc="Distance between two marks of a thermometer")
    step_kg: Mapped[Decimal | None] = mapped_column(doc="Smallest step of a balance")
    material: Mapped[str | None] = mapped_column(
        Words(40), doc="Metal of a lot, a key of the table of metals"
    )
    lot_mass_kg: Mapped[Decimal | None] = mapped_column(doc="All the shot in a lot")
    created_at: Mapped[datetime] = mapped_column(doc="When it was added")
    retired_at: Mapped[datetime | None] = mapped_column(doc="When it was taken out of use; None while in use")


class KitCheck(Base):
    """Append-only: what a thermometer showed in melting ice, or when it is to be checked next, or both."""

    __tablename__ = "kit_check"
    __table_args__ = (
        Index("ix_kit_check_piece_id_id", "piece_id", "id"),
        CheckConstraint('"ice_point_C" IS NOT NULL OR due_on IS NOT NULL', name="something_said"),
        CheckConstraint('("ice_point_C" IS NULL) = (ice_point_text IS NULL)', name="reading_whole"),
        ice_point_possible(),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    piece_id: Mapped[int] = mapped_column(
        ForeignKey("kit_piece.id", ondelete="CASCADE"), doc="The thermometer that was checked"
    )
    checked_on: Mapped[date] = mapped_column(doc="The day of the check, local date")
    ice_point_text: Mapped[str | None] = mapped_column(
        Words(LONGEST_ICE_POINT), doc="The next column as it was typed, with its unit"
    )
    ice_point_C: Mapped[Decimal | None] = mapped_column(
        doc="What it showed in melting ice; None where only the next check was set"
    )
    due_on: Mapped[date | None] = mapped_column(doc="When the next check is due; None: none is planned")
    teacher_id: Mapped[int] = mapped_column(ForeignKey("teacher.id"), doc="Who noted it")
    at: Mapped[datetime] = mapped_column(doc="When it was noted")

    teacher: Mapped[Teacher] = relationship()


class BenchKit(Base):
    """The pieces that a plan gives a bench, with their numbers as they were when the plan took them.

    A later check or a corrected piece changes no practical that was held.
    """

    __tablename__ = "bench_kit"
    __table_args__ = (
        UniqueConstraint("practical_id", "number"),
        bench_number_possible(),
        ice_point_possible(),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), doc="The practical whose plan it is"
    )
    number: Mapped[int] = mapped_column(doc="Bench number")
    tube_id: Mapped[int | None] = mapped_column(ForeignKey("kit_piece.id"), doc="Its tube")
    thermometer_id: Mapped[int | None] = mapped_column(ForeignKey("kit_piece.id"), doc="Its thermometer")
    balance_id: Mapped[int | None] = mapped_column(ForeignKey("kit_piece.id"), doc="Its balance")
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("kit_piece.id"), doc="Where its shot comes from")
    tube_length_m: Mapped[Decimal | None] = mapped_column(doc="Inside length of that tube")
    bore_m: Mapped[Decimal | None] = mapped_column(doc="Bore of that tube")
    caps_m: Mapped[Decimal | None] = mapped_column(doc="What that tube's caps take")
    thermometer_step_K: Mapped[Decimal | None] = mapped_column(doc="Step of that thermometer")
    ice_point_C: Mapped[Decimal | None] = mapped_column(
        doc="What that thermometer last showed in melting ice; None where nobody read it"
    )

    tube: Mapped[KitPiece | None] = relationship(foreign_keys=[tube_id], lazy="joined")
    thermometer: Mapped[KitPiece | None] = relationship(foreign_keys=[thermometer_id], lazy="joined")
    balance: Mapped[KitPiece | None] = relationship(foreign_keys=[balance_id], lazy="joined")
    lot: Mapped[KitPiece | None] = relationship(foreign_keys=[lot_id], lazy="joined")
