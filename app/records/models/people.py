"""Who signs in: departments, teachers, sessions, known browsers, failed attempts; how often that changed."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, false, true
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Base, RowId, Words
from app.records.choices import Role, choice, only

LONGEST_LOGIN, LONGEST_NAME = 80, 120
MOST_YEARS_KEPT = 30
"""A rule for longer is no rule: our own choice."""


class Department(Base):
    """A school's physics department: it owns practicals and their archive."""

    __tablename__ = "department"
    __table_args__ = (
        UniqueConstraint("name"),
        CheckConstraint("length(name) > 0", name="name_given"),
        CheckConstraint("year_begins_in BETWEEN 1 AND 12", name="year_begins_in_a_month"),
        CheckConstraint(
            f"words_kept_years IS NULL OR words_kept_years BETWEEN 1 AND {MOST_YEARS_KEPT}",
            name="words_kept_years_possible",
        ),
        CheckConstraint(
            f"runs_kept_years IS NULL OR runs_kept_years BETWEEN 1 AND {MOST_YEARS_KEPT}",
            name="runs_kept_years_possible",
        ),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    name: Mapped[str] = mapped_column(Words(LONGEST_NAME), comment="As shown on reports")
    year_begins_in: Mapped[int] = mapped_column(
        server_default="9", doc="The month, 1 to 12, with whose first day a school year begins"
    )
    created_at: Mapped[datetime] = mapped_column(doc="When it was founded here")
    words_kept_years: Mapped[int | None] = mapped_column(
        doc="So many years after a lesson its free text goes; None: as long as its runs stay"
    )
    runs_kept_years: Mapped[int | None] = mapped_column(
        doc="So many years after a lesson all of it goes; None: when somebody deletes it"
    )
    keeping_since: Mapped[date | None] = mapped_column(
        doc="Day on which a head last shortened one of the two; nothing goes by them within a month of it"
    )


class Teacher(Base):
    """Someone who signs in. The only people the records name."""

    __tablename__ = "teacher"
    __table_args__ = (
        UniqueConstraint("login"),
        CheckConstraint("length(login) > 0", name="login_given"),
        only("role", Role, name="role_known"),
        UniqueConstraint("department_id", "brought_in_as"),
        CheckConstraint("brought_in_as IS NULL OR NOT is_active", name="known_from_a_file"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    department_id: Mapped[int] = mapped_column(
        ForeignKey("department.id"),
        index=True,
        doc="Where the teacher teaches; its practicals may be looked at",
    )
    login: Mapped[str] = mapped_column(Words(LONGEST_LOGIN), comment="Lower case, without surrounding spaces")
    name: Mapped[str] = mapped_column(Words(LONGEST_NAME), comment="As shown beside decisions")
    password_hash: Mapped[str] = mapped_column(Words(255), comment="Argon2id, never the password")
    role: Mapped[Role] = mapped_column(
        choice(Role, 12),
        server_default=Role.TEACHER.value,
        doc="A head may see and run every practical of the department, a technician changes the kit alone",
    )
    is_active: Mapped[bool] = mapped_column(server_default=true(), comment="May sign in")
    created_at: Mapped[datetime] = mapped_column(doc="When the teacher was added")
    brought_in_as: Mapped[str | None] = mapped_column(
        Words(36), doc="Key of a person whom files alone name and who never signs in; None for an account"
    )

    department: Mapped[Department] = relationship()


class TeacherSession(Base):
    """One sign-in. The browser holds the token, the table only its digest, so signing out ends it."""

    __tablename__ = "teacher_session"
    __table_args__ = (UniqueConstraint("token_digest"), {"sqlite_autoincrement": True})

    id: Mapped[RowId]
    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"), index=True, doc="Who signed in"
    )
    token_digest: Mapped[str] = mapped_column(Words(64), comment="SHA-256 of the token, in hex")
    created_at: Mapped[datetime] = mapped_column(doc="When the teacher signed in")
    last_seen_at: Mapped[datetime] = mapped_column(comment="To the minute")
    expires_at: Mapped[datetime] = mapped_column(comment="Ends then whatever happens")
    ended_at: Mapped[datetime | None] = mapped_column(comment="Signed out")
    browser: Mapped[str | None] = mapped_column(
        Words(20), doc="Firefox, Safari …; None: it named none that we know, or the row is from before"
    )
    system: Mapped[str | None] = mapped_column(Words(20), doc="Android, Windows …; None as above")
    waits_for_code: Mapped[bool] = mapped_column(
        server_default=false(), doc="The password was right, the code of the second step is not typed yet"
    )

    teacher: Mapped[Teacher] = relationship()


class KnownBrowser(Base):
    """A browser in which a teacher signed in before. Its proof opens nothing; others' wrong attempts do not
    slow it down."""

    __tablename__ = "known_browser"
    __table_args__ = (UniqueConstraint("proof_digest", "teacher_id"), {"sqlite_autoincrement": True})

    id: Mapped[RowId]
    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"), index=True, doc="Who signed in there"
    )
    proof_digest: Mapped[str] = mapped_column(
        Words(64), doc="SHA-256 of the browser's secret, in hex; teachers who share a browser share it"
    )
    last_sign_in_at: Mapped[datetime] = mapped_column(doc="When this teacher last signed in there")


class FailedAttempt(Base):
    """One failed sign-in or wrong code, kept for an hour to slow guessing down."""

    __tablename__ = "failed_attempt"
    __table_args__ = (
        Index("ix_failed_attempt_subject_digest_at", "subject_digest", "at"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    subject_digest: Mapped[str] = mapped_column(
        Words(64), comment="SHA-256 of what was tried and from where; no address is kept in clear"
    )
    at: Mapped[datetime] = mapped_column(index=True, doc="When it failed; the row goes an hour later")


class AccessMark(Base):
    """One row: how often it changed who may get in, so that older records can be told from newer ones.

    A server's data folder keeps the last number that it knew (`app/records/last_known.py`).
    """

    __tablename__ = "access_mark"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, doc="Always 1: there is one row")
    number: Mapped[int] = mapped_column(
        comment="Raised by every start, ended sign-in, new password and switched teacher"
    )
