"""Links that let one person in once, the second step at sign-in, lessons covered by a colleague, and which
browser a session is in: unknown for those that run."""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    with op.batch_alter_table("teacher_session", table_kwargs=KEEP_COUNTING) as sessions:
        sessions.add_column(sa.Column("browser", sa.String(20), nullable=True))
        sessions.add_column(sa.Column("system", sa.String(20), nullable=True))
        sessions.add_column(
            sa.Column("waits_for_code", sa.Boolean(), server_default=sa.false(), nullable=False)
        )
    op.create_table(
        "way_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("role", sa.String(12), nullable=True),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("token_digest", sa.String(64), nullable=False),
        sa.Column("made_by_id", sa.Integer(), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("expires_at", MOMENT, nullable=False),
        sa.Column("ended_at", MOMENT, nullable=True),
        sa.CheckConstraint("role IN ('teacher', 'head', 'technician')", name=op.f("ck_way_in_role_known")),
        sa.CheckConstraint("(teacher_id IS NULL) <> (role IS NULL)", name=op.f("ck_way_in_one_purpose")),
        sa.ForeignKeyConstraint(["department_id"], ["department.id"], name=op.f("fk_way_in_department_id")),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_way_in_teacher_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["made_by_id"], ["teacher.id"], name=op.f("fk_way_in_made_by_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_way_in")),
        sa.UniqueConstraint("token_digest", name=op.f("uq_way_in_token_digest")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_way_in_department_id"), "way_in", ["department_id"], unique=False)
    op.create_index(op.f("ix_way_in_teacher_id"), "way_in", ["teacher_id"], unique=False)
    op.create_table(
        "second_step",
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("secret", sa.String(64), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("on_since", MOMENT, nullable=True),
        sa.Column("last_step", sa.Integer(), server_default="0", nullable=False),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_second_step_teacher_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("teacher_id", name=op.f("pk_second_step")),
    )
    op.create_table(
        "spare_code",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("code_digest", sa.String(64), nullable=False),
        sa.Column("used_at", MOMENT, nullable=True),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_spare_code_teacher_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spare_code")),
        sa.UniqueConstraint("teacher_id", "code_digest", name=op.f("uq_spare_code_teacher_id_code_digest")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "cover",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("given_at", MOMENT, nullable=False),
        sa.Column("ends_at", MOMENT, nullable=False),
        sa.Column("ended_at", MOMENT, nullable=True),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_cover_practical_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name=op.f("fk_cover_teacher_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cover")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_cover_practical_id"), "cover", ["practical_id"], unique=False)
    op.create_index(op.f("ix_cover_teacher_id"), "cover", ["teacher_id"], unique=False)


def downgrade() -> None:
    for table in ("cover", "spare_code", "second_step", "way_in"):
        op.drop_table(table)  # its indexes go with it
    # Who had not typed the code yet was not signed in, and no column would say so any more.
    op.execute(sa.text("DELETE FROM teacher_session WHERE waits_for_code"))
    with op.batch_alter_table("teacher_session", table_kwargs=KEEP_COUNTING) as sessions:
        for column in ("waits_for_code", "system", "browser"):
            sessions.drop_column(column)
