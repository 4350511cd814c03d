"""What was typed, and what was decided: append-only."""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_updates, permit_updates

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

TABLES = ("run_version", "decision", "state_change")


def upgrade() -> None:
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("action", sa.String(12), nullable=False, comment="set aside, or counted (again)"),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "run_revision", sa.Integer(), nullable=False, comment="The run's revision that this decision made"
        ),
        sa.Column("run_version", sa.Integer(), nullable=False, comment="The version that the teacher saw"),
        sa.CheckConstraint("action IN ('set aside', 'counted')", name=op.f("ck_decision_action_known")),
        sa.CheckConstraint("length(reason) > 0", name=op.f("ck_decision_reason_given")),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name=op.f("fk_decision_run_id"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_decision_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
        sa.UniqueConstraint("run_id", "run_revision", name=op.f("uq_decision_run_id_run_revision")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "run_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False, comment="1 is what was first sent"),
        sa.Column(
            "idempotency_key",
            sa.String(64),
            nullable=True,
            comment="Of the correction that made this version; None for the first",
        ),
        sa.Column("body_digest", sa.String(64), nullable=False),
        sa.Column("shot_mass_text", sa.String(60), nullable=False),
        sa.Column("shot_mass_unit", sa.String(8), nullable=False),
        sa.Column("shot_mass_kg", sa.String(64), nullable=False),
        sa.Column("tube_length_text", sa.String(60), nullable=False),
        sa.Column("tube_length_unit", sa.String(8), nullable=False),
        sa.Column("tube_length_m", sa.String(64), nullable=False),
        sa.Column("end_allowance_text", sa.String(60), nullable=False),
        sa.Column("end_allowance_unit", sa.String(8), nullable=False),
        sa.Column("end_allowance_m", sa.String(64), nullable=False),
        sa.Column("inversions_text", sa.String(60), nullable=False),
        sa.Column("inversions", sa.Integer(), nullable=False),
        sa.Column("start_temperature_text", sa.String(60), nullable=False),
        sa.Column("start_temperature_unit", sa.String(8), nullable=False),
        sa.Column("start_temperature_C", sa.String(64), nullable=False),
        sa.Column("end_temperature_text", sa.String(60), nullable=False),
        sa.Column("end_temperature_unit", sa.String(8), nullable=False),
        sa.Column("end_temperature_C", sa.String(64), nullable=False),
        sa.Column("room_temperature_text", sa.String(60), nullable=True),
        sa.Column("room_temperature_unit", sa.String(8), nullable=True),
        sa.Column("room_temperature_C", sa.String(64), nullable=True),
        sa.Column(
            "own_heat_capacity_text", sa.String(60), nullable=True, comment="What the bench worked out itself"
        ),
        sa.Column("own_heat_capacity_unit", sa.String(16), nullable=True),
        sa.Column("own_heat_capacity_J_per_kg_K", sa.String(64), nullable=True),
        sa.Column("start_read_at", sa.DateTime(timezone=True), nullable=True, comment="By the phone's clock"),
        sa.Column("client_time", sa.DateTime(timezone=True), nullable=True, comment="By the phone's clock"),
        sa.Column(
            "reason", sa.String(), nullable=False, comment="Why it was corrected; empty for the first version"
        ),
        sa.Column("actor_kind", sa.String(12), nullable=False, comment="bench, teacher or simulator"),
        sa.Column("teacher_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "actor_kind IN ('bench', 'teacher', 'simulator')", name=op.f("ck_run_version_actor_known")
        ),
        sa.CheckConstraint(
            "inversions BETWEEN 1 AND 100000", name=op.f("ck_run_version_inversions_possible")
        ),
        sa.ForeignKeyConstraint(
            ["run_id"], ["run.id"], name=op.f("fk_run_version_run_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_run_version_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run_version")),
        sa.UniqueConstraint("idempotency_key", name=op.f("uq_run_version_idempotency_key")),
        sa.UniqueConstraint("run_id", "version", name=op.f("uq_run_version_run_id_version")),
        sqlite_autoincrement=True,
    )
    forbid_updates(op.get_bind(), TABLES)


def downgrade() -> None:
    permit_updates(op.get_bind(), TABLES)
    op.drop_table("run_version")
    op.drop_table("decision")
