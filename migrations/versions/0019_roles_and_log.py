"""Teachers have a role in place of a mark for heads; the department's log, empty at first."""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_deletes, forbid_updates

revision = "0019"
down_revision = "0020"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
TEACHER = sa.table("teacher", sa.column("role", sa.String), sa.column("is_head", sa.Boolean))


def upgrade() -> None:
    with op.batch_alter_table("teacher", table_kwargs=KEEP_COUNTING) as teacher:
        teacher.add_column(sa.Column("role", sa.String(12), server_default="teacher", nullable=False))
        teacher.create_check_constraint(
            op.f("ck_teacher_role_known"), "role IN ('teacher', 'head', 'technician')"
        )
    op.execute(TEACHER.update().where(TEACHER.c.is_head).values(role="head"))
    with op.batch_alter_table("teacher", table_kwargs=KEEP_COUNTING) as teacher:
        teacher.drop_column("is_head")
    op.create_table(
        "log_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("actor_id", sa.Integer(), nullable=True),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("practical_id", sa.Integer(), nullable=True),
        sa.Column("detail", sa.String(200), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_entry")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_log_entry_department_id_id", "log_entry", ["department_id", "id"], unique=False)
    forbid_updates(op.get_bind(), ["log_entry"])
    forbid_deletes(op.get_bind(), ["log_entry"])


def downgrade() -> None:
    op.drop_index("ix_log_entry_department_id_id", table_name="log_entry")
    op.drop_table("log_entry")  # its triggers go with it
    with op.batch_alter_table("teacher", table_kwargs=KEEP_COUNTING) as teacher:
        teacher.add_column(
            sa.Column(
                "is_head",
                sa.Boolean(),
                server_default=sa.false(),
                nullable=False,
                comment="May see and run every practical of the department",
            )
        )
    op.execute(TEACHER.update().where(TEACHER.c.role == "head").values(is_head=sa.true()))
    with op.batch_alter_table("teacher", table_kwargs=KEEP_COUNTING) as teacher:
        teacher.drop_constraint(op.f("ck_teacher_role_known"), type_="check")
        teacher.drop_column("role")
