"""Caps and settled depth, the parts of a run's end allowance, and whether a plan has benches measure them.

Runs and plans from before have neither and stay as they are.
"""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_all_but_removal, forbid_removal, lift

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

KEEP_COUNTING = {"sqlite_autoincrement": True}
PARTS = (("caps", "caps_m"), ("settled_depth", "settled_depth_m"))


def upgrade() -> None:
    op.add_column(
        "practical",
        sa.Column("depth_measured", sa.Boolean(), nullable=False, server_default=sa.false()),
    )
    _lift_rules()
    for name, value in PARTS:
        op.add_column("run_version", sa.Column(f"{name}_text", sa.String(60), nullable=True))
        op.add_column("run_version", sa.Column(f"{name}_unit", sa.String(8), nullable=True))
        op.add_column("run_version", sa.Column(value, sa.String(64), nullable=True))
    forbid_all_but_removal(op.get_bind(), "run_version", "reason")


def downgrade() -> None:
    _lift_rules()
    with op.batch_alter_table("run_version", table_kwargs=KEEP_COUNTING) as run_version:
        for name, value in PARTS:
            for column in (f"{name}_text", f"{name}_unit", value):
                run_version.drop_column(column)
    forbid_all_but_removal(op.get_bind(), "run_version", "reason")
    with op.batch_alter_table("practical", table_kwargs=KEEP_COUNTING) as practical:
        practical.drop_column("depth_measured")


def _lift_rules() -> None:
    """The rule that a version stays as written names its columns, so it is made again after they change."""
    forbid_removal(op.get_bind(), "run_version", "reason")
    lift(op.get_bind(), "run_version")
