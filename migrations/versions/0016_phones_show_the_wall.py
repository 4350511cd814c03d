"""Phones show what the wall shows unless the teacher hides it. Practicals from before keep what they have."""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _default(sa.true())


def downgrade() -> None:
    _default(sa.false())


def _default(shown: sa.ColumnElement[bool]) -> None:
    # SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
    with op.batch_alter_table("practical", table_kwargs={"sqlite_autoincrement": True}) as practical:
        practical.alter_column(
            "bench_results_shown", existing_type=sa.Boolean(), existing_nullable=False, server_default=shown
        )
