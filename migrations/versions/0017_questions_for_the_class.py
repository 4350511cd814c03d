"""A question for the class at each step of the wall. Practicals from before ask none."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # A server of the version before leaves both columns out: its practicals ask nothing.
    op.add_column(
        "practical", sa.Column("questions_asked", sa.Boolean(), server_default=sa.false(), nullable=False)
    )
    op.add_column("practical", sa.Column("own_questions", sa.JSON(), nullable=True))


def downgrade() -> None:
    # SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
    with op.batch_alter_table("practical", table_kwargs={"sqlite_autoincrement": True}) as practical:
        practical.drop_column("own_questions")
        practical.drop_column("questions_asked")
