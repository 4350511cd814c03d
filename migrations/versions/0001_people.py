"""Departments, teachers, sessions and failed attempts."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "department",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(120), nullable=False, comment="As shown on reports"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_department_name_given")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_department")),
        sa.UniqueConstraint("name", name=op.f("uq_department_name")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "failed_attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(
            "subject_digest",
            sa.String(64),
            nullable=False,
            comment="SHA-256 of what was tried and from where; no address is kept in clear",
        ),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_failed_attempt")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_failed_attempt_at"), "failed_attempt", ["at"], unique=False)
    op.create_index(
        "ix_failed_attempt_subject_digest_at", "failed_attempt", ["subject_digest", "at"], unique=False
    )
    op.create_table(
        "teacher",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column("login", sa.String(80), nullable=False, comment="Lower case, without surrounding spaces"),
        sa.Column("name", sa.String(120), nullable=False, comment="As shown beside decisions"),
        sa.Column("password_hash", sa.String(255), nullable=False, comment="Argon2id, never the password"),
        sa.Column(
            "is_head",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="May see and run every practical of the department",
        ),
        sa.Column("is_active", sa.Boolean(), server_default=sa.true(), nullable=False, comment="May sign in"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(login) > 0", name=op.f("ck_teacher_login_given")),
        sa.ForeignKeyConstraint(["department_id"], ["department.id"], name=op.f("fk_teacher_department_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_teacher")),
        sa.UniqueConstraint("login", name=op.f("uq_teacher_login")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_teacher_department_id"), "teacher", ["department_id"], unique=False)
    op.create_table(
        "teacher_session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("token_digest", sa.String(64), nullable=False, comment="SHA-256 of the token, in hex"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False, comment="To the minute"),
        sa.Column(
            "expires_at", sa.DateTime(timezone=True), nullable=False, comment="Ends then whatever happens"
        ),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True, comment="Signed out"),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_teacher_session_teacher_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_teacher_session")),
        sa.UniqueConstraint("token_digest", name=op.f("uq_teacher_session_token_digest")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_teacher_session_teacher_id"), "teacher_session", ["teacher_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_teacher_session_teacher_id"), table_name="teacher_session")
    op.drop_table("teacher_session")
    op.drop_index(op.f("ix_teacher_department_id"), table_name="teacher")
    op.drop_table("teacher")
    op.drop_index("ix_failed_attempt_subject_digest_at", table_name="failed_attempt")
    op.drop_index(op.f("ix_failed_attempt_at"), table_name="failed_attempt")
    op.drop_table("failed_attempt")
    op.drop_table("department")
