"""Results kept as they were worked out, indexes for lists of thousands, the month a school year begins in.

The result of each practical that is finished already is due: it is kept when somebody next looks at it.
"""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_updates

revision = "0020"
down_revision = "0018"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
CAUSES = "cause IN ('finished', 'decided after', 'computed anew')"
FIGURES = (
    "class_value_J_per_kg_K",
    "class_value_low",
    "class_value_high",
    "specific_heat_J_per_kg_K",
    "specific_heat_low",
    "specific_heat_high",
    "heat_sink_J_per_K",
    "heat_sink_low",
    "heat_sink_high",
)
LISTS = (
    ("ix_practical_department_id_held_on_id", ["department_id", "held_on", "id"]),
    ("ix_practical_teacher_id_state_held_on_id", ["teacher_id", "state", "held_on", "id"]),
)


def upgrade() -> None:
    op.create_table(
        "kept_result",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("cause", sa.String(16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("analysis_version", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.Double(), nullable=True) for name in FIGURES),
        sa.Column("accepted_J_per_kg_K", sa.Double(), nullable=False),
        sa.Column("benches", sa.Integer(), nullable=False),
        sa.Column("runs", sa.Integer(), nullable=False),
        sa.Column("result", sa.JSON(), nullable=False),
        sa.CheckConstraint(CAUSES, name=op.f("ck_kept_result_cause_known")),
        sa.CheckConstraint("analysis_version >= 1", name=op.f("ck_kept_result_analysis_version_possible")),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_kept_result_practical_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_kept_result_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kept_result")),
        sqlite_autoincrement=True,
    )
    op.create_index(
        op.f("ix_kept_result_practical_id_id"), "kept_result", ["practical_id", "id"], unique=False
    )
    forbid_updates(op.get_bind(), ["kept_result"])
    op.create_table(
        "result_due",
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("cause", sa.String(16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(CAUSES, name=op.f("ck_result_due_cause_known")),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_result_due_practical_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_result_due_teacher_id")),
        sa.PrimaryKeyConstraint("practical_id", name=op.f("pk_result_due")),
    )
    op.execute(
        "INSERT INTO result_due (practical_id, cause, at, teacher_id)"
        " SELECT id, 'finished', finished_at, NULL FROM practical"
        " WHERE state = 'finished' AND finished_at IS NOT NULL"
    )
    for name, columns in LISTS:
        op.create_index(op.f(name), "practical", columns, unique=False)
    with op.batch_alter_table("department", table_kwargs=KEEP_COUNTING) as department:
        department.add_column(sa.Column("year_begins_in", sa.Integer(), server_default="9", nullable=False))
        department.create_check_constraint(
            op.f("ck_department_year_begins_in_a_month"), "year_begins_in BETWEEN 1 AND 12"
        )


def downgrade() -> None:
    with op.batch_alter_table("department", table_kwargs=KEEP_COUNTING) as department:
        department.drop_constraint(op.f("ck_department_year_begins_in_a_month"), type_="check")
        department.drop_column("year_begins_in")
    for name, _columns in LISTS:
        op.drop_index(op.f(name), table_name="practical")
    op.drop_table("result_due")
    op.drop_index(op.f("ix_kept_result_practical_id_id"), table_name="kept_result")
    op.drop_table("kept_result")  # its trigger goes with it
