"""A department's rule of how long words and runs are kept; the words of a decision can be removed.

From before there is no rule: nothing goes that would have stayed.
"""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_all_but_removal, forbid_removal, lift

revision = "0023"
down_revision = "0019"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
YEARS = ("words_kept_years", "runs_kept_years")


def upgrade() -> None:
    with op.batch_alter_table("department", table_kwargs=KEEP_COUNTING) as department:
        for name in YEARS:
            department.add_column(sa.Column(name, sa.Integer(), nullable=True))
            department.create_check_constraint(
                op.f(f"ck_department_{name}_possible"), f"{name} IS NULL OR {name} BETWEEN 1 AND 30"
            )
        department.add_column(sa.Column("keeping_since", sa.Date(), nullable=True))
    op.add_column("practical", sa.Column("words_removed_at", sa.DateTime(timezone=True), nullable=True))
    lift(op.get_bind(), "decision")
    forbid_all_but_removal(op.get_bind(), "decision", "reason")


def downgrade() -> None:
    forbid_removal(op.get_bind(), "decision", "reason")
    with op.batch_alter_table("practical", table_kwargs=KEEP_COUNTING) as practical:
        practical.drop_column("words_removed_at")
    with op.batch_alter_table("department", table_kwargs=KEEP_COUNTING) as department:
        department.drop_column("keeping_since")
        for name in YEARS:
            department.drop_constraint(op.f(f"ck_department_{name}_possible"), type_="check")
            department.drop_column(name)
