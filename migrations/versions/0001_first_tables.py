"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "department",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False, comment="As shown on reports"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(name) > 0", name="ck_department_name_given"),
        sa.PrimaryKeyConstraint("id", name="pk_department"),
        sa.UniqueConstraint("name", name="uq_department_name"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "failed_attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(
            "subject_digest",
            sa.String(length=64),
            nullable=False,
            comment="SHA-256 of what was tried and from where; no address is kept in clear",
        ),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_failed_attempt"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_failed_attempt_at", "failed_attempt", ["at"], unique=False)
    op.create_index(
        "ix_failed_attempt_subject_digest_at", "failed_attempt", ["subject_digest", "at"], unique=False
    )
    op.create_table(
        "teacher",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column(
            "login", sa.String(length=80), nullable=False, comment="Lower case, without surrounding spaces"
        ),
        sa.Column("name", sa.String(length=120), nullable=False, comment="As shown beside decisions"),
        sa.Column(
            "password_hash", sa.String(length=255), nullable=False, comment="Argon2id, never the password"
        ),
        sa.Column(
            "is_head",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="May see and run every practical of the department",
        ),
        sa.Column("is_active", sa.Boolean(), server_default=sa.true(), nullable=False, comment="May sign in"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(login) > 0", name="ck_teacher_login_given"),
        sa.ForeignKeyConstraint(["department_id"], ["department.id"], name="fk_teacher_department_id"),
        sa.PrimaryKeyConstraint("id", name="pk_teacher"),
        sa.UniqueConstraint("login", name="uq_teacher_login"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_teacher_department_id", "teacher", ["department_id"], unique=False)
    op.create_table(
        "practical",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column(
            "title",
            sa.String(length=120),
            nullable=False,
            comment="Class and occasion, in the teacher's words",
        ),
        sa.Column("held_on", sa.Date(), nullable=False, comment="The day of the lesson, local date"),
        sa.Column(
            "state", sa.String(length=12), nullable=False, comment="planned, collecting, paused or finished"
        ),
        sa.Column("material", sa.String(length=40), nullable=False, comment="Key into the table of metals"),
        sa.Column("accepted_J_per_kg_K", sa.String(64), nullable=False, comment="Accepted heat capacity"),
        sa.Column(
            "accepted_source", sa.String(length=400), nullable=False, comment="Where that value comes from"
        ),
        sa.Column("accepted_temperature_C", sa.String(64), nullable=True),
        sa.Column("gravity_m_per_s2", sa.String(64), nullable=False),
        sa.Column("u_gravity_m_per_s2", sa.String(64), server_default="0", nullable=False),
        sa.Column("gravity_how", sa.String(length=12), nullable=False, comment="typed, latitude or standard"),
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
        sa.Column(
            "language", sa.String(length=12), nullable=True, comment="Offered to phones; they may choose"
        ),
        sa.Column("typed", sa.JSON(), nullable=False, comment="What the teacher typed, by field name"),
        sa.Column(
            "join_code", sa.String(length=12), nullable=True, comment="While collecting or paused only"
        ),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("finished_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "delete_after", sa.Date(), nullable=True, comment="Removed from the records after this day"
        ),
        sa.Column("board_step", sa.String(length=16), server_default="reported", nullable=False),
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
            "gravity_how IN ('typed', 'latitude', 'standard')", name="ck_practical_gravity_how_known"
        ),
        sa.CheckConstraint(
            "state = 'collecting' OR state = 'paused' OR join_code IS NULL",
            name="ck_practical_code_while_open",
        ),
        sa.CheckConstraint(
            "state IN ('planned', 'collecting', 'paused', 'finished')", name="ck_practical_state_known"
        ),
        sa.CheckConstraint("inversions BETWEEN 1 AND 10000", name="ck_practical_inversions_possible"),
        sa.CheckConstraint("length(title) > 0", name="ck_practical_title_given"),
        sa.CheckConstraint("planned_benches BETWEEN 1 AND 99", name="ck_practical_planned_benches_possible"),
        sa.ForeignKeyConstraint(["department_id"], ["department.id"], name="fk_practical_department_id"),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name="fk_practical_teacher_id"),
        sa.PrimaryKeyConstraint("id", name="pk_practical"),
        sa.UniqueConstraint("join_code", name="uq_practical_join_code"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_practical_department_id", "practical", ["department_id"], unique=False)
    op.create_index("ix_practical_teacher_id", "practical", ["teacher_id"], unique=False)
    op.create_table(
        "teacher_session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column(
            "token_digest", sa.String(length=64), nullable=False, comment="SHA-256 of the token, in hex"
        ),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False, comment="To the minute"),
        sa.Column(
            "expires_at", sa.DateTime(timezone=True), nullable=False, comment="Ends then whatever happens"
        ),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True, comment="Signed out"),
        sa.ForeignKeyConstraint(
            ["teacher_id"], ["teacher.id"], name="fk_teacher_session_teacher_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_teacher_session"),
        sa.UniqueConstraint("token_digest", name="uq_teacher_session_token_digest"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_teacher_session_teacher_id", "teacher_session", ["teacher_id"], unique=False)
    op.create_table(
        "bench",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="On the card on the bench"),
        sa.Column(
            "bench_key", sa.String(length=8), nullable=False, comment="Lets the bench's second phone in"
        ),
        sa.Column(
            "open_to_a_phone",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Released by the teacher: the next phone needs no bench key",
        ),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("safety_acknowledged_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("progress", sa.String(length=12), server_default="joined", nullable=False),
        sa.Column("progress_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "counted_so_far", sa.Integer(), nullable=True, comment="Inversions counted in the run under way"
        ),
        sa.Column(
            "waiting_to_send",
            sa.Integer(),
            server_default="0",
            nullable=False,
            comment="Runs its phones still hold",
        ),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("asked_for_help_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column(
            "simulated",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Part of a rehearsal",
        ),
        sa.CheckConstraint(
            "progress IN ('joined', 'start read', 'counting', 'end read', 'sent')",
            name="ck_bench_progress_known",
        ),
        sa.CheckConstraint("number BETWEEN 1 AND 99", name="ck_bench_number_possible"),
        sa.CheckConstraint("waiting_to_send >= 0", name="ck_bench_waiting_to_send_possible"),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name="fk_bench_practical_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_bench"),
        sa.UniqueConstraint("practical_id", "number", name="uq_bench_practical_id_number"),
        sqlite_autoincrement=True,
    )
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
            "inversions IS NULL OR inversions BETWEEN 1 AND 10000", name="ck_bench_plan_inversions_possible"
        ),
        sa.CheckConstraint("number BETWEEN 1 AND 99", name="ck_bench_plan_number_possible"),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name="fk_bench_plan_practical_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_bench_plan"),
        sa.UniqueConstraint("practical_id", "number", name="uq_bench_plan_practical_id_number"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "state_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column(
            "kind",
            sa.String(length=24),
            nullable=False,
            comment="planned, opened, paused, code replaced, and so on",
        ),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name="fk_state_change_practical_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name="fk_state_change_teacher_id"),
        sa.PrimaryKeyConstraint("id", name="pk_state_change"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_state_change_practical_id_id", "state_change", ["practical_id", "id"], unique=False)
    op.create_table(
        "bench_phone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("bench_id", sa.Integer(), nullable=False),
        sa.Column(
            "token_digest", sa.String(length=64), nullable=False, comment="SHA-256 of the token, in hex"
        ),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("waiting_to_send", sa.Integer(), server_default="0", nullable=False),
        sa.Column(
            "left_at", sa.DateTime(timezone=True), nullable=True, comment="Left, or ended by the teacher"
        ),
        sa.ForeignKeyConstraint(
            ["bench_id"], ["bench.id"], name="fk_bench_phone_bench_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_bench_phone"),
        sa.UniqueConstraint("token_digest", name="uq_bench_phone_token_digest"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_bench_phone_bench_id", "bench_phone", ["bench_id"], unique=False)
    op.create_table(
        "run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("bench_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="Within the bench, in order of arrival"),
        sa.Column(
            "idempotency_key",
            sa.String(length=64),
            nullable=False,
            comment="Made by the sender, once per run",
        ),
        sa.Column(
            "body_digest",
            sa.String(length=64),
            nullable=False,
            comment="SHA-256 of the first version as sent",
        ),
        sa.Column("latest_version", sa.Integer(), server_default="1", nullable=False),
        sa.Column(
            "set_aside",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="As the last decision says",
        ),
        sa.Column(
            "revision",
            sa.Integer(),
            server_default="1",
            nullable=False,
            comment="Raised by every correction and decision on this run",
        ),
        sa.Column(
            "simulated",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Part of a rehearsal, not a reading",
        ),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(idempotency_key) >= 16", name="ck_run_idempotency_key_long"),
        sa.CheckConstraint("number >= 1", name="ck_run_number_possible"),
        sa.ForeignKeyConstraint(["bench_id"], ["bench.id"], name="fk_run_bench_id", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name="fk_run_practical_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_run"),
        sa.UniqueConstraint("bench_id", "number", name="uq_run_bench_id_number"),
        sa.UniqueConstraint("idempotency_key", name="uq_run_idempotency_key"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_run_practical_id", "run", ["practical_id"], unique=False)
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("action", sa.String(length=12), nullable=False, comment="set aside, or counted (again)"),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "run_revision", sa.Integer(), nullable=False, comment="The run's revision that this decision made"
        ),
        sa.Column("run_version", sa.Integer(), nullable=False, comment="The version that the teacher saw"),
        sa.CheckConstraint("action IN ('set aside', 'counted')", name="ck_decision_action_known"),
        sa.CheckConstraint("length(reason) > 0", name="ck_decision_reason_given"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_decision_run_id", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name="fk_decision_teacher_id"),
        sa.PrimaryKeyConstraint("id", name="pk_decision"),
        sa.UniqueConstraint("run_id", "run_revision", name="uq_decision_run_id_run_revision"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "run_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False, comment="1 is what was first sent"),
        sa.Column(
            "idempotency_key",
            sa.String(length=64),
            nullable=True,
            comment="Of the correction that made this version; None for the first",
        ),
        sa.Column("body_digest", sa.String(length=64), nullable=False),
        sa.Column("shot_mass_text", sa.String(length=60), nullable=False),
        sa.Column("shot_mass_unit", sa.String(length=8), nullable=False),
        sa.Column("shot_mass_kg", sa.String(64), nullable=False),
        sa.Column("tube_length_text", sa.String(length=60), nullable=False),
        sa.Column("tube_length_unit", sa.String(length=8), nullable=False),
        sa.Column("tube_length_m", sa.String(64), nullable=False),
        sa.Column("end_allowance_text", sa.String(length=60), nullable=False),
        sa.Column("end_allowance_unit", sa.String(length=8), nullable=False),
        sa.Column("end_allowance_m", sa.String(64), nullable=False),
        sa.Column("inversions_text", sa.String(length=60), nullable=False),
        sa.Column("inversions", sa.Integer(), nullable=False),
        sa.Column("start_temperature_text", sa.String(length=60), nullable=False),
        sa.Column("start_temperature_unit", sa.String(length=8), nullable=False),
        sa.Column("start_temperature_C", sa.String(64), nullable=False),
        sa.Column("end_temperature_text", sa.String(length=60), nullable=False),
        sa.Column("end_temperature_unit", sa.String(length=8), nullable=False),
        sa.Column("end_temperature_C", sa.String(64), nullable=False),
        sa.Column("room_temperature_text", sa.String(length=60), nullable=True),
        sa.Column("room_temperature_unit", sa.String(length=8), nullable=True),
        sa.Column("room_temperature_C", sa.String(64), nullable=True),
        sa.Column(
            "own_heat_capacity_text",
            sa.String(length=60),
            nullable=True,
            comment="What the bench worked out itself",
        ),
        sa.Column("own_heat_capacity_unit", sa.String(length=16), nullable=True),
        sa.Column("own_heat_capacity_J_per_kg_K", sa.String(64), nullable=True),
        sa.Column("start_read_at", sa.DateTime(timezone=True), nullable=True, comment="By the phone's clock"),
        sa.Column("client_time", sa.DateTime(timezone=True), nullable=True, comment="By the phone's clock"),
        sa.Column(
            "reason", sa.Text(), nullable=False, comment="Why it was corrected; empty for the first version"
        ),
        sa.Column("actor_kind", sa.String(length=12), nullable=False, comment="bench, teacher or simulator"),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "actor_kind IN ('bench', 'teacher', 'simulator')", name="ck_run_version_actor_known"
        ),
        sa.CheckConstraint("inversions BETWEEN 1 AND 100000", name="ck_run_version_inversions_possible"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_run_version_run_id", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name="fk_run_version_teacher_id"),
        sa.PrimaryKeyConstraint("id", name="pk_run_version"),
        sa.UniqueConstraint("idempotency_key", name="uq_run_version_idempotency_key"),
        sa.UniqueConstraint("run_id", "version", name="uq_run_version_run_id_version"),
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    op.drop_table("run_version")
    op.drop_table("decision")
    op.drop_index("ix_run_practical_id", table_name="run")
    op.drop_table("run")
    op.drop_index("ix_bench_phone_bench_id", table_name="bench_phone")
    op.drop_table("bench_phone")
    op.drop_index("ix_state_change_practical_id_id", table_name="state_change")
    op.drop_table("state_change")
    op.drop_table("bench_plan")
    op.drop_table("bench")
    op.drop_index("ix_teacher_session_teacher_id", table_name="teacher_session")
    op.drop_table("teacher_session")
    op.drop_index("ix_practical_teacher_id", table_name="practical")
    op.drop_index("ix_practical_department_id", table_name="practical")
    op.drop_table("practical")
    op.drop_index("ix_teacher_department_id", table_name="teacher")
    op.drop_table("teacher")
    op.drop_index("ix_failed_attempt_subject_digest_at", table_name="failed_attempt")
    op.drop_index("ix_failed_attempt_at", table_name="failed_attempt")
    op.drop_table("failed_attempt")
    op.drop_table("department")
