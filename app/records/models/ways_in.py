"""Ways in beside the password: links that let one person in once, and the second step at sign-in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Base, RowId, Words
from app.records.choices import Role, choice, only
from app.records.models.people import LONGEST_NAME, Department, Teacher


class WayIn(Base):
    """A link that a head gives somebody: an invitation to the department, or the way to a new password. It
    works once and runs out; the table holds the digest of its token alone."""

    __tablename__ = "way_in"
    __table_args__ = (
        UniqueConstraint("token_digest"),
        only("role", Role, name="role_known"),
        CheckConstraint("(teacher_id IS NULL) <> (role IS NULL)", name="one_purpose"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[RowId]
    department_id: Mapped[int] = mapped_column(
        ForeignKey("department.id"), index=True, doc="The department that it leads into"
    )
    teacher_id: Mapped[int | None] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"),
        index=True,
        doc="Whose new password it is for; None: an invitation",
    )
    role: Mapped[Role | None] = mapped_column(
        choice(Role, 12), doc="What the invited person will be; None: a new password"
    )
    name: Mapped[str] = mapped_column(
        Words(LONGEST_NAME), doc="Who is invited, as the head typed it; empty for a new password"
    )
    token_digest: Mapped[str] = mapped_column(Words(64), doc="SHA-256 of the link's token, in hex")
    made_by_id: Mapped[int] = mapped_column(ForeignKey("teacher.id"), doc="The head who made it")
    made_at: Mapped[datetime] = mapped_column(doc="When it was made")
    expires_at: Mapped[datetime] = mapped_column(doc="It opens nothing from then on")
    ended_at: Mapped[datetime | None] = mapped_column(doc="When it was used or withdrawn")

    department: Mapped[Department] = relationship()
    teacher: Mapped[Teacher | None] = relationship(foreign_keys=[teacher_id])
    made_by: Mapped[Teacher] = relationship(foreign_keys=[made_by_id])


class SecondStep(Base):
    """A teacher's second step at sign-in: the secret that the teacher's phone shares (RFC 6238).

    The secret is kept as it is, because the server must work the same code out: whoever can read the records
    can make the codes, but still needs the password. It is a hurdle for who has learnt the password alone.
    """

    __tablename__ = "second_step"

    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"), primary_key=True, doc="Whose second step it is"
    )
    secret: Mapped[str] = mapped_column(Words(64), doc="160 bits in base 32, as the phone holds them")
    made_at: Mapped[datetime] = mapped_column(doc="When the secret was made")
    on_since: Mapped[datetime | None] = mapped_column(
        doc="When a first code proved that the phone has it; None: not asked for yet"
    )
    last_step: Mapped[int] = mapped_column(
        server_default="0",
        doc="The last 30-second step whose code was taken; neither it nor an earlier one is again",
    )


class SpareCode(Base):
    """A code for when the phone is lost: works once in place of the phone's."""

    __tablename__ = "spare_code"
    __table_args__ = (UniqueConstraint("teacher_id", "code_digest"), {"sqlite_autoincrement": True})

    id: Mapped[RowId]
    teacher_id: Mapped[int] = mapped_column(
        ForeignKey("teacher.id", ondelete="CASCADE"), doc="Whose code it is"
    )
    code_digest: Mapped[str] = mapped_column(Words(64), doc="SHA-256 of the code, in hex")
    used_at: Mapped[datetime | None] = mapped_column(doc="When it let the teacher in; None: not used yet")
