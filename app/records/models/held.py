"""A board that is held still: how far the class's records went when it was held."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Base


class HeldBoard(Base):
    """One row for each practical whose board is held. The last of its rows that the held picture shows.

    Benches, versions and decisions are only ever added, so their numbers say what had been there, and need
    no clock; 0 where there was none.
    """

    __tablename__ = "held_board"

    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"),
        primary_key=True,
        doc="The practical whose board is held",
    )
    bench_id: Mapped[int] = mapped_column(comment="The last bench that had joined")
    version_id: Mapped[int] = mapped_column(comment="The last version of a run")
    decision_id: Mapped[int] = mapped_column(comment="The last decision about a run")
