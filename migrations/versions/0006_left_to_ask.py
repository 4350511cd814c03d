"""Which runs came in before their bench could be asked about an unlikely reading."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "run",
        sa.Column(
            "left_to_ask",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Sent unasked with an unlikely reading, and not answered since",
        ),
    )


def downgrade() -> None:
    op.drop_column("run", "left_to_ask")
