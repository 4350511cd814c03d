"""How often it changed who may get in, so that older records can be told from newer ones."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Base

THE_ROW = 1


class AccessMark(Base):
    """One row. A server's data folder keeps the last number that it knew (`app/records/last_known.py`)."""

    __tablename__ = "access_mark"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, doc="Always 1: there is one row")
    number: Mapped[int] = mapped_column(
        comment="Raised by every start, ended sign-in, new password and switched teacher"
    )
