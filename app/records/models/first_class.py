"""A teacher's made-up class that plays itself: what was answered, and how far it was played."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.physics.limits import MOST_BENCHES
from app.records.base import Base, Words
from app.records.choices import Pace, choice, only


class FirstClass(Base):
    """One row for each teacher who watches it, gone with one action. The class is worked out, not kept."""

    __tablename__ = "first_class"
    __table_args__ = (
        CheckConstraint(f"benches BETWEEN 1 AND {MOST_BENCHES}", name="benches_possible"),
        CheckConstraint("played_ms >= 0", name="played_possible"),
        only("pace", Pace, name="pace_known"),
    )

    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"), primary_key=True, doc="Who watches it"
    )
    benches: Mapped[int] = mapped_column(doc="How many benches the real lesson will have")
    material: Mapped[str] = mapped_column(Words(40), doc="Key into the table of metals, of the real lesson")
    held_on: Mapped[date] = mapped_column(doc="The day of the real lesson")
    played_ms: Mapped[int] = mapped_column(doc="Milliseconds of the script that were played")
    pace: Mapped[Pace] = mapped_column(choice(Pace, 12), doc="held, slow or usual")
    asked_at: Mapped[datetime] = mapped_column(doc="When the page last asked: the clock goes while it asks")
