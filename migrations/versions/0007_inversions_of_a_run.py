"""A run's inversions end where a plan's do, at 10 000.

No door ever let more in (the parser of counts refused them), so every stored row fits.
"""

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
    """SQLite makes the table again: its AUTOINCREMENT has to be said, and its triggers are lost with it."""
    with op.batch_alter_table(TABLE, table_kwargs={"sqlite_autoincrement": True}) as run_version:
        run_version.drop_constraint(op.f(NAME), type_="check")
        run_version.create_check_constraint(op.f(NAME), f"inversions BETWEEN 1 AND {most}")
    if op.get_bind().dialect.name == "sqlite":
        forbid_updates(op.get_bind(), (TABLE,))
