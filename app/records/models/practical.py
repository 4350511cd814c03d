"""The practical: one class on one day, its plan, what the teacher did with it, and its deletion."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import (
    JSON,
    CheckConstraint,
    ForeignKey,
    Index,
    UniqueConstraint,
    false,
    true,
)
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.limits import MOST_BENCHES, MOST_INVERSIONS, MOST_RUNS_OF_A_BENCH
from app.records.base import Base, RowId, Words, bench_number_possible, ice_point_possible
from app.records.choices import BoardStep, GravityHow, PracticalState, choice, only
from app.records.models.kit import BenchKit
from app.records.models.people import Department, Teacher

LONGEST_TITLE, LONGEST_SOURCE, LONGEST_QUESTION = 120, 400, 120
LONGEST_WIFI_NAME = 32  # octets of a service set identifier, IEEE 802.11


class Practical(Base):
    """One class, one day: what it shares, how far it is, and what the wall shows."""

    __tablename__ = "practical"
    __table_args__ = (
        UniqueConstraint("join_code"),
        only("state", PracticalState, name="state_known"),
        CheckConstraint("length(title) > 0", name="title_given"),
        CheckConstraint(f"inversions BETWEEN 1 AND {MOST_INVERSIONS}", name="inversions_possible"),
        CheckConstraint(f"planned_benches BETWEEN 1 AND {MOST_BENCHES}", name="planned_benches_possible"),
        only("gravity_how", GravityHow, name="gravity_how_known"),
        CheckConstraint("state <> 'finished' OR join_code IS NULL", name="code_until_finished"),
        Index("ix_practical_department_id_held_on_id", "department_id", "held_on", "id"),
        Index("ix_practical_teacher_id_state_held_on_id", "teacher_id", "state", "held_on", "id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    department_id: Mapped[int] = mapped_column(
        ForeignKey("department.id"), index=True, doc="Whose archive it is in"
    )
    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id"),
        index=True,
        doc="Whose practical it is: this teacher or a head of the department may run it",
    )
    title: Mapped[str] = mapped_column(
        Words(LONGEST_TITLE), comment="Class and occasion, in the teacher's words"
    )
    held_on: Mapped[date] = mapped_column(comment="The day of the lesson, local date")
    state: Mapped[PracticalState] = mapped_column(
        choice(PracticalState, 12), comment="planned, collecting, paused or finished"
    )

    material: Mapped[str] = mapped_column(Words(40), comment="Key into the table of metals")
    accepted_J_per_kg_K: Mapped[Decimal] = mapped_column(comment="Accepted heat capacity")
    accepted_source: Mapped[str] = mapped_column(Words(LONGEST_SOURCE), comment="Where that value comes from")
    accepted_temperature_C: Mapped[Decimal | None] = mapped_column(
        doc="The temperature for which the accepted value is given; None if unknown"
    )
    gravity_m_per_s2: Mapped[Decimal] = mapped_column(doc="Acceleration of free fall at the school")
    u_gravity_m_per_s2: Mapped[Decimal] = mapped_column(server_default="0", doc="Its standard uncertainty")
    gravity_how: Mapped[GravityHow] = mapped_column(
        choice(GravityHow, 12), comment="typed, latitude or standard"
    )
    latitude_deg: Mapped[Decimal | None] = mapped_column(
        doc="North positive; None unless g was worked out from it"
    )
    height_m: Mapped[Decimal | None] = mapped_column(comment="Above the ellipsoid")
    tube_length_m: Mapped[Decimal] = mapped_column(comment="Offered to every bench")
    end_allowance_m: Mapped[Decimal] = mapped_column(comment="Offered to every bench")
    bore_m: Mapped[Decimal | None] = mapped_column(comment="Inner diameter of the tube")
    depth_measured: Mapped[bool] = mapped_column(
        server_default=false(), doc="Whether each bench measures how deep its settled shot lies"
    )
    length_sd_m: Mapped[Decimal] = mapped_column(
        server_default="0.002", doc="Standard uncertainty of one reading of a length"
    )
    inversions: Mapped[int] = mapped_column(comment="Target for one run")
    planned_benches: Mapped[int] = mapped_column(doc="How many benches the teacher expects")
    thermometer_step_K: Mapped[Decimal] = mapped_column(doc="Distance between two marks of the thermometers")
    reading_sd_K: Mapped[Decimal] = mapped_column(
        server_default="0",
        doc="Standard deviation of reading the same temperature again, beside the step",
    )
    room_temperature_C: Mapped[Decimal | None] = mapped_column(
        doc="Of the room as planned; None if not measured"
    )
    heat_sink_J_per_K: Mapped[Decimal | None] = mapped_column(
        comment="The planner's guess for tube, caps and thermometer"
    )
    language: Mapped[str | None] = mapped_column(Words(12), comment="Offered to phones; they may choose")
    typed: Mapped[dict[str, Any]] = mapped_column(JSON, comment="What the teacher typed, by field name")

    join_code: Mapped[str | None] = mapped_column(
        Words(12), comment="From the cards on; given up when finished"
    )
    wifi_name: Mapped[str | None] = mapped_column(
        Words(LONGEST_WIFI_NAME),
        doc="Name of the Wi-Fi that phones join; empty if none is to be shown, None if never said",
    )
    opened_at: Mapped[datetime | None] = mapped_column(doc="When phones could first join")
    finished_at: Mapped[datetime | None] = mapped_column(doc="When it was finished; None once reopened")
    created_at: Mapped[datetime] = mapped_column(doc="When it was planned")
    delete_after: Mapped[date | None] = mapped_column(comment="Removed from the records after this day")
    words_removed_at: Mapped[datetime | None] = mapped_column(
        doc="When its free text was removed by the department's rule"
    )

    board_step: Mapped[BoardStep] = mapped_column(
        choice(BoardStep, 16),
        server_default=BoardStep.REPORTED.value,
        doc="How far the wall has revealed the result",
    )
    board_paused: Mapped[bool] = mapped_column(server_default=false(), doc="Whether the wall is held still")
    bench_results_shown: Mapped[bool] = mapped_column(
        server_default=true(), comment="Phones may show the class result"
    )
    questions_asked: Mapped[bool] = mapped_column(
        server_default=false(), doc="Whether each step of the wall has a question for the class"
    )
    own_questions: Mapped[dict[str, Any] | None] = mapped_column(
        JSON, doc="The teacher's own ones, by step; kept while none are asked, None where there is none"
    )
    is_demo: Mapped[bool] = mapped_column(
        server_default=false(), comment="Made-up class that came with the tool"
    )

    revision: Mapped[int] = mapped_column(
        server_default="1", comment="Raised in the same transaction as every change that a page shows"
    )
    presence: Mapped[int] = mapped_column(
        server_default="1", comment="Raised when only a bench's progress changed"
    )

    department: Mapped[Department] = relationship()
    teacher: Mapped[Teacher] = relationship()
    bench_plans: Mapped[list[BenchPlan]] = relationship(cascade="all, delete-orphan", passive_deletes=True)
    bench_kits: Mapped[list[BenchKit]] = relationship(cascade="all, delete-orphan", passive_deletes=True)


NEWEST_FIRST = (Practical.held_on.desc(), Practical.id.desc())
"""The order of every list of practicals that begins with the latest lesson."""


class BenchPlan(Base):
    """What the plan gives one bench; None means the practical's own value."""

    __tablename__ = "bench_plan"
    __table_args__ = (
        UniqueConstraint("practical_id", "number"),
        bench_number_possible(),
        CheckConstraint(
            f"inversions IS NULL OR inversions BETWEEN 1 AND {MOST_INVERSIONS}", name="inversions_possible"
        ),
        CheckConstraint(
            f"second_inversions IS NULL OR second_inversions BETWEEN 1 AND {MOST_INVERSIONS}",
            name="second_inversions_possible",
        ),
        CheckConstraint(f"runs IS NULL OR runs BETWEEN 1 AND {MOST_RUNS_OF_A_BENCH}", name="runs_possible"),
        ice_point_possible(),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), doc="The practical whose plan it is"
    )
    number: Mapped[int] = mapped_column(comment="Bench number")
    shot_mass_kg: Mapped[Decimal | None] = mapped_column(doc="Shot to weigh in")
    tube_length_m: Mapped[Decimal | None] = mapped_column(doc="Inner length of its tube")
    end_allowance_m: Mapped[Decimal | None] = mapped_column(
        doc="What caps and settled shot take from that length"
    )
    inversions: Mapped[int | None] = mapped_column(doc="Target for one run")
    second_inversions: Mapped[int | None] = mapped_column(
        doc="Target for its second run, where that is another one"
    )
    start_temperature_C: Mapped[Decimal | None] = mapped_column(
        doc="Temperature to bring the shot to before a run"
    )
    runs: Mapped[int | None] = mapped_column(comment="How many runs the bench has time for")
    thermometer_step_K: Mapped[Decimal | None] = mapped_column(
        doc="Distance between two marks of its own thermometer"
    )
    ice_point_C: Mapped[Decimal | None] = mapped_column(
        comment="What its own thermometer shows in melting ice, 0 °C; None where nobody read it"
    )


class StateChange(Base):
    """Append-only: what the teacher did with the practical as a whole."""

    __tablename__ = "state_change"
    __table_args__ = (
        Index("ix_state_change_practical_id_id", "practical_id", "id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId] = mapped_column(doc="Number of the row, in the order of what happened")
    practical_id: Mapped[int] = mapped_column(
        ForeignKey("practical.id", ondelete="CASCADE"), doc="The practical it was done with"
    )
    kind: Mapped[str] = mapped_column(Words(24), comment="planned, opened, paused, code replaced, and so on")
    detail: Mapped[str] = mapped_column(
        Words(), doc="What about it: a step of the board, a bench, the changed numbers; often empty"
    )
    teacher_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id"), doc="The teacher who did it; None: a bench"
    )
    at: Mapped[datetime] = mapped_column(doc="When it was done")


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


class Deletion(Base):
    """Append-only: a practical was deleted, by whom or by which rule. Nothing measured is kept."""

    __tablename__ = "deletion"
    __table_args__ = (
        CheckConstraint("deleted_by_id IS NOT NULL OR delete_after IS NOT NULL", name="why_known"),
        CheckConstraint("runs >= 0", name="runs_possible"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    department_id: Mapped[int] = mapped_column(
        ForeignKey("department.id"), index=True, doc="Whose archive it was in"
    )
    title: Mapped[str] = mapped_column(Words(LONGEST_TITLE), comment="The practical's, as it was last")
    held_on: Mapped[date] = mapped_column(comment="The day of the lesson, local date")
    teacher_id: Mapped[int] = mapped_column(ForeignKey("teacher.id"), comment="Whose practical it was")
    runs: Mapped[int] = mapped_column(comment="How many runs of its benches went with it")
    deleted_by_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id"), comment="Who deleted it; None for the rule of the delete-after day"
    )
    delete_after: Mapped[date | None] = mapped_column(comment="Its delete-after day, if it had one")
    at: Mapped[datetime] = mapped_column(doc="When it was deleted")
