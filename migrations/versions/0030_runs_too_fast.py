"""Runs that came sooner than their bench can have made them, and phones that the teacher ended.

From before there are none of either: nobody looked.
"""

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "run",
        sa.Column(
            "came_too_fast",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Came sooner than its bench can have made it: until a decision it waits for the teacher",
        ),
    )
    op.add_column(
        "bench",
        sa.Column(
            "busy_until",
            sa.DateTime(timezone=True),
            nullable=True,
            comment="The soonest at which it can have made the runs that came in time; None before the first",
        ),
    )
    op.add_column(
        "bench_phone",
        sa.Column(
            "ended_by_teacher",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="It did not leave by itself, and its page says so",
        ),
    )


def downgrade() -> None:
    # Without the mark a run that waits would count: it is set aside, as the reader of then knows it.
    op.execute(
        sa.text(
            "UPDATE run SET set_aside = :yes WHERE came_too_fast AND NOT EXISTS"
            " (SELECT 1 FROM decision WHERE decision.run_id = run.id)"
        ).bindparams(yes=True)
    )
    op.drop_column("bench_phone", "ended_by_teacher")
    op.drop_column("bench", "busy_until")
    op.drop_column("run", "came_too_fast")
