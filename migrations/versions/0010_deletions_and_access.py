"""What was deleted, and how often it changed who may get in."""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_updates

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "deletion",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(120), nullable=False, comment="The practical's, as it was last"),
        sa.Column("held_on", sa.Date(), nullable=False, comment="The day of the lesson, local date"),
        sa.Column("teacher_id", sa.Integer(), nullable=False, comment="Whose practical it was"),
        sa.Column("runs", sa.Integer(), nullable=False, comment="How many runs of its benches went with it"),
        sa.Column(
            "deleted_by_id",
            sa.Integer(),
            nullable=True,
            comment="Who deleted it; None for the rule of the delete-after day",
        ),
        sa.Column("delete_after", sa.Date(), nullable=True, comment="Its delete-after day, if it had one"),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "deleted_by_id IS NOT NULL OR delete_after IS NOT NULL", name=op.f("ck_deletion_why_known")
        ),
        sa.CheckConstraint("runs >= 0", name=op.f("ck_deletion_runs_possible")),
        sa.ForeignKeyConstraint(["deleted_by_id"], ["teacher.id"], name=op.f("fk_deletion_deleted_by_id")),
        sa.ForeignKeyConstraint(["department_id"], ["department.id"], name=op.f("fk_deletion_department_id")),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_deletion_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deletion")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_deletion_department_id"), "deletion", ["department_id"], unique=False)
    forbid_updates(op.get_bind(), ["deletion"])
    marks = op.create_table(
        "access_mark",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column(
            "number",
            sa.Integer(),
            nullable=False,
            comment="Raised by every start, ended sign-in, new password and switched teacher",
        ),
        sa.CheckConstraint("id = 1", name=op.f("ck_access_mark_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_access_mark")),
    )
    op.bulk_insert(marks, [{"id": 1, "number": 0}])


def downgrade() -> None:
    op.drop_table("access_mark")
    op.drop_index(op.f("ix_deletion_department_id"), table_name="deletion")
    op.drop_table("deletion")  # its trigger goes with it
