"""Browsers in which a teacher signed in before. From before there are none: the next sign-in makes one."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "known_browser",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("proof_digest", sa.String(64), nullable=False),
        sa.Column("last_sign_in_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_known_browser_teacher_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_known_browser")),
        sa.UniqueConstraint(
            "proof_digest", "teacher_id", name=op.f("uq_known_browser_proof_digest_teacher_id")
        ),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_known_browser_teacher_id"), "known_browser", ["teacher_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_known_browser_teacher_id"), table_name="known_browser")
    op.drop_table("known_browser")
