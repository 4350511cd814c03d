"""The department's log: who did what, as numbers of accounts and practicals."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Base, RowId, Words

LONGEST_DETAIL = 200


class LogEntry(Base):
    """Append-only, and never deleted: no foreign keys, so no deletion takes a line along.

    A number whose account or practical is gone still tells lines apart; no name and nothing of students
    stands here.
    """

    __tablename__ = "log_entry"
    __table_args__ = (
        Index("ix_log_entry_department_id_id", "department_id", "id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId] = mapped_column(doc="Number of the row, in the order of what happened")
    at: Mapped[datetime] = mapped_column(doc="When it was done")
    department_id: Mapped[int | None] = mapped_column(
        doc="Number of the department whose heads read it; None: of the whole installation, for every head"
    )
    kind: Mapped[str] = mapped_column(
        Words(32), doc="What was done, one of `choices.LogKind`: signed in, downloaded …"
    )
    actor_id: Mapped[int | None] = mapped_column(
        doc="Number of the account that did it; None: a command at the server, a rule, or nobody signed in"
    )
    teacher_id: Mapped[int | None] = mapped_column(doc="Number of the account that it was done with")
    practical_id: Mapped[int | None] = mapped_column(doc="Number of the practical that it was done with")
    detail: Mapped[str] = mapped_column(
        Words(LONGEST_DETAIL), doc="What about it, in a few words; nothing of students, no code and no token"
    )
