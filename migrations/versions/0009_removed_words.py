"""What a bench wrote about a correction can be removed; all else that was typed stays as it was written."""

from alembic import op

from app.records.append_only import forbid_all_but_removal, forbid_removal, lift

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    lift(op.get_bind(), "run_version")
    forbid_all_but_removal(op.get_bind(), "run_version", "reason")


def downgrade() -> None:
    forbid_removal(op.get_bind(), "run_version", "reason")
