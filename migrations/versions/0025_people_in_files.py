"""People whom a file that was brought in names, and who have no account."""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0021"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}


def upgrade() -> None:
    with op.batch_alter_table("teacher", table_kwargs=KEEP_COUNTING) as teacher:
        teacher.add_column(sa.Column("brought_in_as", sa.String(36), nullable=True))
        teacher.create_unique_constraint(
            op.f("uq_teacher_department_id_brought_in_as"), ["department_id", "brought_in_as"]
        )
        teacher.create_check_constraint(
            op.f("ck_teacher_known_from_a_file"), "brought_in_as IS NULL OR NOT is_active"
        )


def downgrade() -> None:
    with op.batch_alter_table("teacher", table_kwargs=KEEP_COUNTING) as teacher:
        teacher.drop_constraint(op.f("ck_teacher_known_from_a_file"), type_="check")
        teacher.drop_constraint(op.f("uq_teacher_department_id_brought_in_as"), type_="unique")
        teacher.drop_column("brought_in_as")
