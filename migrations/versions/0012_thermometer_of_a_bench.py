"""A bench's own thermometer step, where the class's thermometers differ. Lines from before have none."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("bench_plan", sa.Column("thermometer_step_K", sa.String(64), nullable=True))


def downgrade() -> None:
    # SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
    with op.batch_alter_table("bench_plan", table_kwargs={"sqlite_autoincrement": True}) as bench_plan:
        bench_plan.drop_column("thermometer_step_K")
