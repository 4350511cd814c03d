"""Practicals, their plans and what was done with them."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "practical",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column(
            "title", sa.String(120), nullable=False, comment="Class and occasion, in the teacher's words"
        ),
        sa.Column("held_on", sa.Date(), nullable=False, comment="The day of the lesson, local date"),
        sa.Column("state", sa.String(12), nullable=False, comment="planned, collecting, paused or finished"),
        sa.Column("material", sa.String(40), nullable=False, comment="Key into the table of metals"),
        sa.Column("accepted_J_per_kg_K", sa.String(64), nullable=False, comment="Accepted heat capacity"),
        sa.Column("accepted_source", sa.String(400), nullable=False, comment="Where that value comes from"),
        sa.Column("accepted_temperature_C", sa.String(64), nullable=True),
        sa.Column("gravity_m_per_s2", sa.String(64), nullable=False),
        sa.Column("u_gravity_m_per_s2", sa.String(64), server_default="0", nullable=False),
        sa.Column("gravity_how", sa.String(12), nullable=False, comment="typed, latitude or standard"),
        sa.Column("latitude_deg", sa.String(64), nullable=True),
        sa.Column("height_m", sa.String(64), nullable=True, comment="Above the ellipsoid"),
        sa.Column("tube_length_m", sa.String(64), nullable=False, comment="Offered to every bench"),
        sa.Column("end_allowance_m", sa.String(64), nullable=False, comment="Offered to every bench"),
        sa.Column("bore_m", sa.String(64), nullable=True, comment="Inner diameter of the tube"),
        sa.Column("length_sd_m", sa.String(64), server_default="0.002", nullable=False),
        sa.Column("inversions", sa.Integer(), nullable=False, comment="Target for one run"),
        sa.Column("planned_benches", sa.Integer(), nullable=False),
        sa.Column("thermometer_step_K", sa.String(64), nullable=False),
        sa.Column("reading_sd_K", sa.String(64), server_default="0", nullable=False),
        sa.Column("room_temperature_C", sa.String(64), nullable=True),
        sa.Column("language", sa.String(12), nullable=True, comment="Offered to phones; they may choose"),
        sa.Column("typed", sa.JSON(), nullable=False, comment="What the teacher typed, by field name"),
        sa.Column("join_code", sa.String(12), nullable=True, comment="While collecting or paused only"),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("finished_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "delete_after", sa.Date(), nullable=True, comment="Removed from the records after this day"
        ),
        sa.Column("board_step", sa.String(16), server_default="reported", nullable=False),
        sa.Column("board_paused", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column(
            "bench_results_shown",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Phones may show the class result",
        ),
        sa.Column(
            "is_demo",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Made-up class that came with the tool",
        ),
        sa.Column(
            "revision",
            sa.Integer(),
            server_default="1",
            nullable=False,
            comment="Raised in the same transaction as every change that a page shows",
        ),
        sa.Column(
            "presence",
            sa.Integer(),
            server_default="1",
            nullable=False,
            comment="Raised when only a bench's progress changed",
        ),
        sa.CheckConstraint(
            "gravity_how IN ('typed', 'latitude', 'standard')", name=op.f("ck_practical_gravity_how_known")
        ),
        sa.CheckConstraint(
            "state = 'collecting' OR state = 'paused' OR join_code IS NULL",
            name=op.f("ck_practical_code_while_open"),
        ),
        sa.CheckConstraint(
            "state IN ('planned', 'collecting', 'paused', 'finished')", name=op.f("ck_practical_state_known")
        ),
        sa.CheckConstraint("inversions BETWEEN 1 AND 10000", name=op.f("ck_practical_inversions_possible")),
        sa.CheckConstraint("length(title) > 0", name=op.f("ck_practical_title_given")),
        sa.CheckConstraint(
            "planned_benches BETWEEN 1 AND 99", name=op.f("ck_practical_planned_benches_possible")
        ),
        sa.ForeignKeyConstraint(
            ["department_id"], ["department.id"], name=op.f("fk_practical_department_id")
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_practical_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_practical")),
        sa.UniqueConstraint("join_code", name=op.f("uq_practical_join_code")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_practical_department_id"), "practical", ["department_id"], unique=False)
    op.create_index(op.f("ix_practical_teacher_id"), "practical", ["teacher_id"], unique=False)
    op.create_table(
        "bench_plan",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="Bench number"),
        sa.Column("shot_mass_kg", sa.String(64), nullable=True),
        sa.Column("tube_length_m", sa.String(64), nullable=True),
        sa.Column("end_allowance_m", sa.String(64), nullable=True),
        sa.Column("inversions", sa.Integer(), nullable=True),
        sa.Column("start_temperature_C", sa.String(64), nullable=True),
        sa.CheckConstraint(
            "inversions IS NULL OR inversions BETWEEN 1 AND 10000",
            name=op.f("ck_bench_plan_inversions_possible"),
        ),
        sa.CheckConstraint("number BETWEEN 1 AND 99", name=op.f("ck_bench_plan_number_possible")),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_bench_plan_practical_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_plan")),
        sa.UniqueConstraint("practical_id", "number", name=op.f("uq_bench_plan_practical_id_number")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "state_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column(
            "kind", sa.String(24), nullable=False, comment="planned, opened, paused, code replaced, and so on"
        ),
        sa.Column("detail", sa.String(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_state_change_practical_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_state_change_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_state_change")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_state_change_practical_id_id", "state_change", ["practical_id", "id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_state_change_practical_id_id", table_name="state_change")
    op.drop_table("state_change")
    op.drop_table("bench_plan")
    op.drop_index(op.f("ix_practical_teacher_id"), table_name="practical")
    op.drop_index(op.f("ix_practical_department_id"), table_name="practical")
    op.drop_table("practical")
