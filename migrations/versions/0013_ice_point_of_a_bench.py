"""What a bench's own thermometer shows in melting ice: as planned, and as the bench read it.

Plans and benches from before have none, and nothing about their runs changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
POSSIBLE = '"ice_point_C" IS NULL OR CAST("ice_point_C" AS NUMERIC) BETWEEN -5 AND 5'


def upgrade() -> None:
    with op.batch_alter_table("bench_plan", table_kwargs=KEEP_COUNTING) as bench_plan:
        bench_plan.add_column(
            sa.Column(
                "ice_point_C",
                sa.String(64),
                nullable=True,
                comment="What its own thermometer shows in melting ice, 0 °C; None where nobody read it",
            )
        )
        bench_plan.create_check_constraint(op.f("ck_bench_plan_ice_point_possible"), POSSIBLE)
    with op.batch_alter_table("bench", table_kwargs=KEEP_COUNTING) as bench:
        bench.add_column(
            sa.Column(
                "ice_point_text",
                sa.String(68),
                nullable=True,
                comment="The next column as it was typed, with its unit",
            )
        )
        bench.add_column(
            sa.Column(
                "ice_point_C",
                sa.String(64),
                nullable=True,
                comment="What the bench read on its own thermometer in melting ice; "
                "None: what the plan gives it",
            )
        )
        bench.create_check_constraint(op.f("ck_bench_ice_point_possible"), POSSIBLE)


def downgrade() -> None:
    for table, columns in (("bench", ("ice_point_C", "ice_point_text")), ("bench_plan", ("ice_point_C",))):
        with op.batch_alter_table(table, table_kwargs=KEEP_COUNTING) as changed:
            changed.drop_constraint(op.f(f"ck_{table}_ice_point_possible"), type_="check")
            for column in columns:
                changed.drop_column(column)
