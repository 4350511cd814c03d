"""A second count of inversions in a bench's plan, for its second run. Lines from before have none."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

NAME = "ck_bench_plan_second_inversions_possible"


def upgrade() -> None:
    # SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
    with op.batch_alter_table("bench_plan", table_kwargs={"sqlite_autoincrement": True}) as bench_plan:
        bench_plan.add_column(sa.Column("second_inversions", sa.Integer, nullable=True))
        bench_plan.create_check_constraint(
            op.f(NAME), "second_inversions IS NULL OR second_inversions BETWEEN 1 AND 10000"
        )


def downgrade() -> None:
    with op.batch_alter_table("bench_plan", table_kwargs={"sqlite_autoincrement": True}) as bench_plan:
        bench_plan.drop_constraint(op.f(NAME), type_="check")
        bench_plan.drop_column("second_inversions")
