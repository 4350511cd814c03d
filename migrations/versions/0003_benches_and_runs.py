"""Benches, their phones and runs."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bench",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="On the card on the bench"),
        sa.Column("bench_key", sa.String(8), nullable=False, comment="Lets the bench's second phone in"),
        sa.Column(
            "open_to_a_phone",
            sa.Boolean(),
            server_default=sa.false(),
            nullable=False,
            comment="Released by the teacher: the next phone needs no bench key",
        ),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("safety_acknowledged_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("progress", sa.String(12), server_default="joined", nullable=False),
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
            name=op.f("ck_bench_progress_known"),
        ),
        sa.CheckConstraint("number BETWEEN 1 AND 99", name=op.f("ck_bench_number_possible")),
        sa.CheckConstraint("waiting_to_send >= 0", name=op.f("ck_bench_waiting_to_send_possible")),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_bench_practical_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench")),
        sa.UniqueConstraint("practical_id", "number", name=op.f("uq_bench_practical_id_number")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "bench_phone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("bench_id", sa.Integer(), nullable=False),
        sa.Column("token_digest", sa.String(64), nullable=False, comment="SHA-256 of the token, in hex"),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("waiting_to_send", sa.Integer(), server_default="0", nullable=False),
        sa.Column(
            "left_at", sa.DateTime(timezone=True), nullable=True, comment="Left, or ended by the teacher"
        ),
        sa.ForeignKeyConstraint(
            ["bench_id"], ["bench.id"], name=op.f("fk_bench_phone_bench_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_phone")),
        sa.UniqueConstraint("token_digest", name=op.f("uq_bench_phone_token_digest")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_bench_phone_bench_id"), "bench_phone", ["bench_id"], unique=False)
    op.create_table(
        "run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("bench_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="Within the bench, in order of arrival"),
        sa.Column(
            "idempotency_key", sa.String(64), nullable=False, comment="Made by the sender, once per run"
        ),
        sa.Column(
            "body_digest", sa.String(64), nullable=False, comment="SHA-256 of the first version as sent"
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
        sa.CheckConstraint("length(idempotency_key) >= 16", name=op.f("ck_run_idempotency_key_long")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_run_number_possible")),
        sa.ForeignKeyConstraint(["bench_id"], ["bench.id"], name=op.f("fk_run_bench_id"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_run_practical_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run")),
        sa.UniqueConstraint("bench_id", "number", name=op.f("uq_run_bench_id_number")),
        sa.UniqueConstraint("idempotency_key", name=op.f("uq_run_idempotency_key")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_run_practical_id"), "run", ["practical_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_run_practical_id"), table_name="run")
    op.drop_table("run")
    op.drop_index(op.f("ix_bench_phone_bench_id"), table_name="bench_phone")
    op.drop_table("bench_phone")
    op.drop_table("bench")
