"""A colleague who runs a practical in its teacher's place."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BindParameter, ColumnElement, ForeignKey, and_
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Base, RowId
from app.records.models.people import Teacher
from app.records.models.practical import Practical


class Cover(Base):
    """For some days a colleague runs a practical as its teacher does. It stays its teacher's."""

    __tablename__ = "cover"
    __table_args__ = ({"sqlite_autoincrement": True},)

    id: Mapped[RowId]
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), index=True, doc="The practical that is covered"
    )
    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"), index=True, doc="Who covers it"
    )
    given_at: Mapped[datetime] = mapped_column(doc="When it began")
    ends_at: Mapped[datetime] = mapped_column(doc="The midnight at the school after its last day")
    ended_at: Mapped[datetime | None] = mapped_column(doc="When it was ended before; None: not")

    practical: Mapped[Practical] = relationship()
    teacher: Mapped[Teacher] = relationship()

    @classmethod
    def runs_at(cls, now: datetime | BindParameter[datetime]) -> ColumnElement[bool]:
        """Whether the colleague runs the practical at this moment."""
        return and_(cls.ended_at.is_(None), cls.ends_at > now)
