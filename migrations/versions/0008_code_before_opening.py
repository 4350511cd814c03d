"""A code before the practical is opened, and what a rehearsal takes from the planner."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
UNTIL_FINISHED = "state <> 'finished' OR join_code IS NULL"
WHILE_OPEN = "state = 'collecting' OR state = 'paused' OR join_code IS NULL"


def upgrade() -> None:
    with op.batch_alter_table("practical", table_kwargs=KEEP_COUNTING) as practical:
        practical.drop_constraint(op.f("ck_practical_code_while_open"), type_="check")
        practical.create_check_constraint(op.f("ck_practical_code_until_finished"), UNTIL_FINISHED)
        practical.add_column(
            sa.Column(
                "heat_sink_J_per_K",
                sa.String(64),
                nullable=True,
                comment="The planner's guess for tube, caps and thermometer",
            )
        )
        practical.alter_column(
            "join_code",
            existing_type=sa.String(12),
            existing_nullable=True,
            comment="From the cards on; given up when finished",
        )
    with op.batch_alter_table("bench_plan", table_kwargs=KEEP_COUNTING) as bench_plan:
        bench_plan.add_column(
            sa.Column("runs", sa.Integer(), nullable=True, comment="How many runs the bench has time for")
        )
        bench_plan.create_check_constraint(
            op.f("ck_bench_plan_runs_possible"), "runs IS NULL OR runs BETWEEN 1 AND 20"
        )


def downgrade() -> None:
    # The earlier rule knows no code before the opening: such a practical gets a new one when it opens.
    op.execute("UPDATE practical SET join_code = NULL WHERE state = 'planned'")
    with op.batch_alter_table("bench_plan", table_kwargs=KEEP_COUNTING) as bench_plan:
        bench_plan.drop_constraint(op.f("ck_bench_plan_runs_possible"), type_="check")
        bench_plan.drop_column("runs")
    with op.batch_alter_table("practical", table_kwargs=KEEP_COUNTING) as practical:
        practical.drop_constraint(op.f("ck_practical_code_until_finished"), type_="check")
        practical.create_check_constraint(op.f("ck_practical_code_while_open"), WHILE_OPEN)
        practical.drop_column("heat_sink_J_per_K")
        practical.alter_column(
            "join_code",
            existing_type=sa.String(12),
            existing_nullable=True,
            comment="While collecting or paused only",
        )
