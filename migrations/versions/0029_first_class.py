"""A teacher's made-up class that plays itself: three answers, and how far it was played."""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "first_class",
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("benches", sa.Integer(), nullable=False),
        sa.Column("material", sa.String(40), nullable=False),
        sa.Column("held_on", sa.Date(), nullable=False),
        sa.Column("played_ms", sa.Integer(), nullable=False),
        sa.Column("pace", sa.String(12), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("benches BETWEEN 1 AND 99", name=op.f("ck_first_class_benches_possible")),
        sa.CheckConstraint("played_ms >= 0", name=op.f("ck_first_class_played_possible")),
        sa.CheckConstraint("pace IN ('held', 'slow', 'usual')", name=op.f("ck_first_class_pace_known")),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_first_class_teacher_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("teacher_id", name=op.f("pk_first_class")),
    )


def downgrade() -> None:
    op.drop_table("first_class")
