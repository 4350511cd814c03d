"""Runs as the benches typed them, every version kept, and the teacher's decisions about them."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from sqlalchemy import (
    CheckConstraint,
    ColumnElement,
    ForeignKey,
    Integer,
    UniqueConstraint,
    and_,
    exists,
    false,
    true,
)
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.limits import LONGEST_TYPED, MOST_INVERSIONS
from app.physics.run import QUANTITIES
from app.records.base import Base, ExactDecimal, RowId, Words
from app.records.choices import ActorKind, DecisionAction, choice, only
from app.records.models.bench import Bench

KEY_LENGTH = 64


class Run(Base):
    """One set of readings of one bench. What was read stands in its versions."""

    __tablename__ = "run"
    __table_args__ = (
        UniqueConstraint("idempotency_key"),
        UniqueConstraint("bench_id", "number"),
        CheckConstraint("number >= 1", name="number_possible"),
        CheckConstraint("length(idempotency_key) >= 16", name="idempotency_key_long"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), index=True, doc="The practical of its bench"
    )
    bench_id: Mapped[int] = mapped_column(
        ForeignKey("bench.id", ondelete="CASCADE"), doc="The bench that made it"
    )
    number: Mapped[int] = mapped_column(comment="Within the bench, in order of arrival")
    idempotency_key: Mapped[str] = mapped_column(
        Words(KEY_LENGTH), comment="Made by the sender, once per run"
    )
    body_digest: Mapped[str] = mapped_column(Words(64), comment="SHA-256 of the first version as sent")
    latest_version: Mapped[int] = mapped_column(server_default="1", doc="The version that counts")
    set_aside: Mapped[bool] = mapped_column(server_default=false(), comment="As the last decision says")
    came_too_fast: Mapped[bool] = mapped_column(
        server_default=false(),
        comment="Came sooner than its bench can have made it: until a decision it waits for the teacher",
    )
    left_to_ask: Mapped[bool] = mapped_column(
        server_default=false(), comment="Sent unasked with an unlikely reading, and not answered since"
    )
    revision: Mapped[int] = mapped_column(
        server_default="1", comment="Raised by every correction and decision on this run"
    )
    simulated: Mapped[bool] = mapped_column(
        server_default=false(), comment="Part of a rehearsal, not a reading"
    )
    created_at: Mapped[datetime] = mapped_column(doc="When it first came in")
    tube_id: Mapped[int | None] = mapped_column(
        ForeignKey("kit_piece.id"), index=True, doc="The tube that the plan gave its bench when it came in"
    )
    thermometer_id: Mapped[int | None] = mapped_column(
        ForeignKey("kit_piece.id"), index=True, doc="The thermometer that it was read on, in the same way"
    )
    balance_id: Mapped[int | None] = mapped_column(
        ForeignKey("kit_piece.id"), index=True, doc="The balance that its shot was weighed on"
    )
    lot_id: Mapped[int | None] = mapped_column(
        ForeignKey("kit_piece.id"), index=True, doc="The lot that its shot came from"
    )

    bench: Mapped[Bench] = relationship()


class RunVersion(Base):
    """Append-only: a run as typed once. Typed text, the unit understood, and the exact value in SI (°C).

    The columns of the readings are those of `app.physics.run.QUANTITIES`; `_add_readings` adds them below.
    """

    __tablename__ = "run_version"
    __table_args__ = (
        UniqueConstraint("run_id", "version"),
        UniqueConstraint("idempotency_key"),
        CheckConstraint(f"inversions BETWEEN 1 AND {MOST_INVERSIONS}", name="inversions_possible"),
        only("actor_kind", ActorKind, name="actor_known"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId] = mapped_column(doc="Number of the row, in the order of what came in")
    run_id: Mapped[int] = mapped_column(
        ForeignKey("run.id", ondelete="CASCADE"), doc="The run of which this is a version"
    )
    version: Mapped[int] = mapped_column(comment="1 is what was first sent")
    idempotency_key: Mapped[str | None] = mapped_column(
        Words(KEY_LENGTH), comment="Of the correction that made this version; None for the first"
    )
    body_digest: Mapped[str] = mapped_column(
        Words(64), doc="SHA-256 of what was typed, units and values with it"
    )

    own_heat_capacity_text: Mapped[str | None] = mapped_column(
        Words(LONGEST_TYPED), comment="What the bench worked out itself"
    )
    own_heat_capacity_unit: Mapped[str | None] = mapped_column(
        Words(16), doc="Unit in which that text was understood"
    )
    own_heat_capacity_J_per_kg_K: Mapped[Decimal | None] = mapped_column(doc="The same in J/(kg·K), exactly")

    start_read_at: Mapped[datetime | None] = mapped_column(comment="By the phone's clock")
    client_time: Mapped[datetime | None] = mapped_column(comment="By the phone's clock")
    reason: Mapped[str] = mapped_column(Words(), comment="Why it was corrected; empty for the first version")
    actor_kind: Mapped[ActorKind] = mapped_column(
        choice(ActorKind, 12), comment="bench, teacher or simulator"
    )
    teacher_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id"),
        doc="The teacher who entered or corrected it; None where a bench or the simulator did",
    )
    at: Mapped[datetime] = mapped_column(doc="When it came in, by the server's clock")

    run: Mapped[Run] = relationship()

    if TYPE_CHECKING:  # the columns that `_add_readings` adds

        def __getattr__(self, name: str) -> Any: ...


def _add_readings() -> None:
    """For each quantity the typed text, the unit understood (a count has none) and the exact value."""
    for one in QUANTITIES.values():
        empty = not one.needed
        text = mapped_column(Words(LONGEST_TYPED), nullable=empty, doc=f"{one.what}, as typed")
        setattr(RunVersion, f"{one.name}_text", text)
        if one.units:
            unit = mapped_column(Words(8), nullable=empty, doc="Unit in which that text was understood")
            setattr(RunVersion, f"{one.name}_unit", unit)
        kept_as = ExactDecimal() if one.units else Integer()
        value = mapped_column(kept_as, nullable=empty, doc="The same in SI, temperatures in °C, exactly")
        setattr(RunVersion, one.si_name, value)


_add_readings()


class Decision(Base):
    """Append-only: a teacher set a run aside, or counted it again, and why."""

    __tablename__ = "decision"
    __table_args__ = (
        UniqueConstraint("run_id", "run_revision"),
        only("action", DecisionAction, name="action_known"),
        CheckConstraint("length(reason) > 0", name="reason_given"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId] = mapped_column(doc="Number of the row, in the order of the decisions")
    run_id: Mapped[int] = mapped_column(ForeignKey("run.id", ondelete="CASCADE"), doc="The run decided about")
    action: Mapped[DecisionAction] = mapped_column(
        choice(DecisionAction, 12), comment="set aside, or counted (again)"
    )
    reason: Mapped[str] = mapped_column(Words(), doc="Why, in the teacher's words; the class may see it")
    teacher_id: Mapped[int] = mapped_column(ForeignKey("teacher.id"), doc="Who decided")
    at: Mapped[datetime] = mapped_column(doc="When it was decided")
    run_revision: Mapped[int] = mapped_column(comment="The run's revision that this decision made")
    run_version: Mapped[int] = mapped_column(comment="The version that the teacher saw")

    run: Mapped[Run] = relationship()


def waits_for_teacher(until_decision: int | None = None) -> ColumnElement[bool]:
    """Whether a run waits for its teacher: it came too fast, and nobody has decided about it.

    `until_decision`: no later decision is looked at, so that a moment of the past is seen.
    """
    then = true() if until_decision is None else Decision.id <= until_decision
    return and_(Run.came_too_fast, ~exists().where(Decision.run_id == Run.id, then).correlate(Run))
