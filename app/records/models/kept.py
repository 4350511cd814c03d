"""Results as they were worked out: kept with what worked them out, and those that are still to be kept."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, Double, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Base, RowId
from app.records.choices import KeptCause, choice, only


class KeptResult(Base):
    """Append-only: the result of a class as the analysis of then gave it, after one thing that happened.

    Lists read the columns of figures; the whole result is loaded only where it is asked for. An end of an
    interval is at 95 %, and None where the result has no interval.
    """

    __tablename__ = "kept_result"
    __table_args__ = (
        Index("ix_kept_result_practical_id_id", "practical_id", "id"),
        only("cause", KeptCause, name="cause_known"),
        CheckConstraint("analysis_version >= 1", name="analysis_version_possible"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), doc="The practical whose result it is"
    )
    cause: Mapped[KeptCause] = mapped_column(
        choice(KeptCause, 16), doc="Why it was kept: finished, decided after, computed anew"
    )
    at: Mapped[datetime] = mapped_column(doc="When that happened")
    teacher_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id"), doc="The teacher who did it; None where no teacher did"
    )
    analysis_version: Mapped[int] = mapped_column(doc="Of the analysis that worked it out")
    revision: Mapped[int] = mapped_column(doc="The practical's revision that it belongs to")
    class_value_J_per_kg_K: Mapped[float | None] = mapped_column(
        Double(), doc="The class's apparent specific heat capacity; None where there is none"
    )
    class_value_low: Mapped[float | None] = mapped_column(Double(), doc="Lower end of its interval")
    class_value_high: Mapped[float | None] = mapped_column(Double(), doc="Upper end of its interval")
    specific_heat_J_per_kg_K: Mapped[float | None] = mapped_column(
        Double(), doc="Specific heat capacity with the heat sink taken out; None where not told apart"
    )
    specific_heat_low: Mapped[float | None] = mapped_column(Double(), doc="Lower end of its interval")
    specific_heat_high: Mapped[float | None] = mapped_column(Double(), doc="Upper end of its interval")
    heat_sink_J_per_K: Mapped[float | None] = mapped_column(
        Double(), doc="Heat capacity of tube, caps and thermometer; None where not told apart"
    )
    heat_sink_low: Mapped[float | None] = mapped_column(Double(), doc="Lower end of its interval")
    heat_sink_high: Mapped[float | None] = mapped_column(Double(), doc="Upper end of its interval")
    accepted_J_per_kg_K: Mapped[float] = mapped_column(Double(), doc="The accepted value it was held against")
    benches: Mapped[int] = mapped_column(doc="Benches whose runs it is made of")
    runs: Mapped[int] = mapped_column(doc="Runs that it is made of: those that counted and have a value")
    result: Mapped[dict[str, Any]] = mapped_column(
        JSON, deferred=True, doc="The whole of it, under the keys of `plumbfall analyse --json`"
    )


class ResultDue(Base):
    """One row for each practical whose result is still to be kept, written with what made it so.

    The analysis runs outside that transaction. Whoever looks at the class next, keeps the result and takes
    the row away, so that nothing is lost where the server stops in between.
    """

    __tablename__ = "result_due"
    __table_args__ = (only("cause", KeptCause, name="cause_known"),)

    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), primary_key=True, doc="The practical"
    )
    cause: Mapped[KeptCause] = mapped_column(choice(KeptCause, 16), doc="Why it will be kept")
    at: Mapped[datetime] = mapped_column(doc="When that happened")
    teacher_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id"), doc="The teacher who did it; None where no teacher did"
    )
