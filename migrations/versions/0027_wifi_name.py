"""The name of the Wi-Fi that a practical's phones join; never its password."""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0025"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}


def upgrade() -> None:
    op.add_column("practical", sa.Column("wifi_name", sa.String(32), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("practical", table_kwargs=KEEP_COUNTING) as practical:
        practical.drop_column("wifi_name")
