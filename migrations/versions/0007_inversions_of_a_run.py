"""A run's inversions end where a plan's do, at 10 000.

No door ever let more in (the parser of counts refused them), so every stored row fits.
"""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_updates

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

TABLE, NAME = "run_version", "ck_run_version_inversions_possible"


def upgrade() -> None:
    _bound_inversions(10_000)


def downgrade() -> None:
    _bound_inversions(100_000)


def _bound_inversions(most: int) -> None:
    """SQLite rebuilds the table, and reflection tells it nothing of check constraints and triggers."""
    rule = f"inversions BETWEEN 1 AND {most}"
    if op.get_bind().dialect.name != "sqlite":
        op.drop_constraint(op.f(NAME), TABLE, type_="check")
        op.create_check_constraint(op.f(NAME), TABLE, rule)
        return
    actor_known = sa.CheckConstraint(
        "actor_kind IN ('bench', 'teacher', 'simulator')", name=op.f("ck_run_version_actor_known")
    )
    kept = (actor_known, sa.CheckConstraint(rule, name=op.f(NAME)))
    with op.batch_alter_table(
        TABLE, recreate="always", table_args=kept, table_kwargs={"sqlite_autoincrement": True}
    ):
        pass
    forbid_updates(op.get_bind(), (TABLE,))
