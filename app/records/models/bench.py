"""Benches and the phones that enter their readings. No names, no device ids."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Base, RowId, Words, bench_number_possible, ice_point_possible
from app.records.choices import BenchProgress, choice, only
from app.records.models.kit import LONGEST_ICE_POINT
from app.records.models.practical import Practical


class Bench(Base):
    """A group at one bench, known by its number alone."""

    __tablename__ = "bench"
    __table_args__ = (
        UniqueConstraint("practical_id", "number"),
        bench_number_possible(),
        CheckConstraint("waiting_to_send >= 0", name="waiting_to_send_possible"),
        only("progress", BenchProgress, name="progress_known"),
        ice_point_possible(),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), doc="The practical it joined"
    )
    number: Mapped[int] = mapped_column(comment="On the card on the bench")
    bench_key: Mapped[str] = mapped_column(Words(8), comment="Lets the bench's second phone in")
    open_to_a_phone: Mapped[bool] = mapped_column(
        server_default=false(), comment="Released by the teacher: the next phone needs no bench key"
    )
    joined_at: Mapped[datetime] = mapped_column(doc="When its first phone joined")
    safety_acknowledged_at: Mapped[datetime | None] = mapped_column(
        doc="When it said that it had read the safety step; None until then"
    )
    progress: Mapped[BenchProgress] = mapped_column(
        choice(BenchProgress, 12),
        server_default=BenchProgress.JOINED.value,
        doc="How far it is with the run under way, as its phone last said",
    )
    progress_at: Mapped[datetime] = mapped_column(doc="When `progress` last changed")
    counted_so_far: Mapped[int | None] = mapped_column(comment="Inversions counted in the run under way")
    waiting_to_send: Mapped[int] = mapped_column(server_default="0", comment="Runs its phones still hold")
    last_seen_at: Mapped[datetime] = mapped_column(doc="When one of its phones last sent anything")
    asked_for_help_at: Mapped[datetime | None] = mapped_column(
        doc="When its hand went up; None while it is down"
    )
    simulated: Mapped[bool] = mapped_column(server_default=false(), comment="Part of a rehearsal")
    waits_for_teacher: Mapped[bool] = mapped_column(
        server_default=false(), doc="Its number is beyond the plan, and the teacher has not let it in yet"
    )
    busy_until: Mapped[datetime | None] = mapped_column(
        comment="The soonest at which it can have made the runs that came in time; None before the first"
    )
    ice_point_text: Mapped[str | None] = mapped_column(
        Words(LONGEST_ICE_POINT), comment="The next column as it was typed, with its unit"
    )
    ice_point_C: Mapped[Decimal | None] = mapped_column(
        comment="What the bench read on its own thermometer in melting ice; None: what the plan gives it"
    )

    practical: Mapped[Practical] = relationship()


class BenchPhone(Base):
    """One phone that joined a bench: a token's digest, nothing about the phone itself."""

    __tablename__ = "bench_phone"
    __table_args__ = (UniqueConstraint("token_digest"), {"sqlite_autoincrement": True})

    id: Mapped[RowId]
    bench_id: Mapped[int] = mapped_column(
        ForeignKey("bench.id", ondelete="CASCADE"), index=True, doc="The bench whose readings it enters"
    )
    token_digest: Mapped[str] = mapped_column(Words(64), comment="SHA-256 of the token, in hex")
    joined_at: Mapped[datetime] = mapped_column(doc="When it joined")
    last_seen_at: Mapped[datetime] = mapped_column(doc="When it last sent anything")
    waiting_to_send: Mapped[int] = mapped_column(
        server_default="0", doc="Runs it still holds, as it last said"
    )
    left_at: Mapped[datetime | None] = mapped_column(comment="Left, or ended by the teacher")
    ended_by_teacher: Mapped[bool] = mapped_column(
        server_default=false(), comment="It did not leave by itself, and its page says so"
    )

    bench: Mapped[Bench] = relationship()
