"""What a board that is held still goes on showing."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "held_board",
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("bench_id", sa.Integer(), nullable=False, comment="The last bench that had joined"),
        sa.Column("version_id", sa.Integer(), nullable=False, comment="The last version of a run"),
        sa.Column("decision_id", sa.Integer(), nullable=False, comment="The last decision about a run"),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_held_board_practical_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("practical_id", name=op.f("pk_held_board")),
    )


def downgrade() -> None:
    op.drop_table("held_board")
