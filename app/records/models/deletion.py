"""What was deleted: the one thing about a practical that does not go with it."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, Date, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Base
from app.records.types import UtcDateTime, Words


class Deletion(Base):
    """Append-only: a practical was deleted, by whom or by which rule. Nothing measured is kept."""

    __tablename__ = "deletion"
    __table_args__ = (
        CheckConstraint("deleted_by_id IS NOT NULL OR delete_after IS NOT NULL", name="why_known"),
        CheckConstraint("runs >= 0", name="runs_possible"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True, doc="Number of the row, never given out twice")
    department_id: Mapped[int] = mapped_column(
        ForeignKey("department.id"), index=True, doc="Whose archive it was in"
    )
    title: Mapped[str] = mapped_column(Words(120), comment="The practical's, as it was last")
    held_on: Mapped[date] = mapped_column(Date, comment="The day of the lesson, local date")
    teacher_id: Mapped[int] = mapped_column(ForeignKey("teacher.id"), comment="Whose practical it was")
    runs: Mapped[int] = mapped_column(comment="How many runs of its benches went with it")
    deleted_by_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id"), comment="Who deleted it; None for the rule of the delete-after day"
    )
    delete_after: Mapped[date | None] = mapped_column(Date, comment="Its delete-after day, if it had one")
    at: Mapped[datetime] = mapped_column(UtcDateTime(), doc="When it was deleted")
