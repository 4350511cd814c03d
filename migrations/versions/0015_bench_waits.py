"""A bench beyond the plan waits for the teacher's nod. Benches from before do not wait."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "bench", sa.Column("waits_for_teacher", sa.Boolean(), server_default=sa.false(), nullable=False)
    )


def downgrade() -> None:
    op.execute(sa.text("DELETE FROM bench WHERE waits_for_teacher"))  # nobody let them in, and none has a run
    # SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
    with op.batch_alter_table("bench", table_kwargs={"sqlite_autoincrement": True}) as bench:
        bench.drop_column("waits_for_teacher")
