"""Runs as the benches typed them, every version kept, and the teacher's decisions about them."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from sqlalchemy import CheckConstraint, ForeignKey, Integer, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.limits import LONGEST_TYPED, MOST_INVERSIONS
from app.physics.run import QUANTITIES
from app.records.base import Base
from app.records.models.bench import Bench
from app.records.types import ExactDecimal, UtcDateTime, Words

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

    id: Mapped[int] = mapped_column(primary_key=True)
    practical_id: Mapped[int] = mapped_column(ForeignKey("practical.id", ondelete="CASCADE"), index=True)
    bench_id: Mapped[int] = mapped_column(ForeignKey("bench.id", ondelete="CASCADE"))
    number: Mapped[int] = mapped_column(comment="Within the bench, in order of arrival")
    idempotency_key: Mapped[str] = mapped_column(
        Words(KEY_LENGTH), comment="Made by the sender, once per run"
    )
    body_digest: Mapped[str] = mapped_column(Words(64), comment="SHA-256 of the first version as sent")
    latest_version: Mapped[int] = mapped_column(server_default="1")
    set_aside: Mapped[bool] = mapped_column(server_default=false(), comment="As the last decision says")
    left_to_ask: Mapped[bool] = mapped_column(
        server_default=false(), comment="Sent unasked with an unlikely reading, and not answered since"
    )
    revision: Mapped[int] = mapped_column(
        server_default="1", comment="Raised by every correction and decision on this run"
    )
    simulated: Mapped[bool] = mapped_column(
        server_default=false(), comment="Part of a rehearsal, not a reading"
    )
    created_at: Mapped[datetime] = mapped_column(UtcDateTime())

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
        CheckConstraint("actor_kind IN ('bench', 'teacher', 'simulator')", name="actor_known"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("run.id", ondelete="CASCADE"))
    version: Mapped[int] = mapped_column(comment="1 is what was first sent")
    idempotency_key: Mapped[str | None] = mapped_column(
        Words(KEY_LENGTH), comment="Of the correction that made this version; None for the first"
    )
    body_digest: Mapped[str] = mapped_column(Words(64))

    own_heat_capacity_text: Mapped[str | None] = mapped_column(
        Words(LONGEST_TYPED), comment="What the bench worked out itself"
    )
    own_heat_capacity_unit: Mapped[str | None] = mapped_column(Words(16))
    own_heat_capacity_J_per_kg_K: Mapped[Decimal | None] = mapped_column(ExactDecimal())

    start_read_at: Mapped[datetime | None] = mapped_column(UtcDateTime(), comment="By the phone's clock")
    client_time: Mapped[datetime | None] = mapped_column(UtcDateTime(), comment="By the phone's clock")
    reason: Mapped[str] = mapped_column(Words(), comment="Why it was corrected; empty for the first version")
    actor_kind: Mapped[str] = mapped_column(Words(12), comment="bench, teacher or simulator")
    teacher_id: Mapped[int | None] = mapped_column(ForeignKey("teacher.id"))
    at: Mapped[datetime] = mapped_column(UtcDateTime())

    run: Mapped[Run] = relationship()


def _add_readings() -> None:
    """For each quantity the typed text, the unit understood (a count has none) and the exact value."""
    for one in QUANTITIES.values():
        empty = not one.needed
        setattr(RunVersion, f"{one.name}_text", mapped_column(Words(LONGEST_TYPED), nullable=empty))
        if one.units:
            setattr(RunVersion, f"{one.name}_unit", mapped_column(Words(8), nullable=empty))
        kept_as = ExactDecimal() if one.units else Integer()
        setattr(RunVersion, one.si_name, mapped_column(kept_as, nullable=empty))


_add_readings()


class Decision(Base):
    """Append-only: a teacher set a run aside, or counted it again, and why."""

    __tablename__ = "decision"
    __table_args__ = (
        UniqueConstraint("run_id", "run_revision"),
        CheckConstraint("action IN ('set aside', 'counted')", name="action_known"),
        CheckConstraint("length(reason) > 0", name="reason_given"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("run.id", ondelete="CASCADE"))
    action: Mapped[str] = mapped_column(Words(12), comment="set aside, or counted (again)")
    reason: Mapped[str] = mapped_column(Words())
    teacher_id: Mapped[int] = mapped_column(ForeignKey("teacher.id"))
    at: Mapped[datetime] = mapped_column(UtcDateTime())
    run_revision: Mapped[int] = mapped_column(comment="The run's revision that this decision made")
    run_version: Mapped[int] = mapped_column(comment="The version that the teacher saw")

    run: Mapped[Run] = relationship()
