"""The department's kit, its thermometers' checks, what a plan gives each bench, and the pieces of a run.

Plans and runs from before name no piece.
"""

import sqlalchemy as sa
from alembic import op

from app.records.append_only import forbid_updates

revision = "0021"
down_revision = "0024"
branch_labels = None
depends_on = None

# SQLite makes a changed table again, and of its AUTOINCREMENT only this tells.
KEEP_COUNTING = {"sqlite_autoincrement": True}
PIECES = ("tube_id", "thermometer_id", "balance_id", "lot_id")
ICE_POINT = '"ice_point_C" IS NULL OR CAST("ice_point_C" AS NUMERIC) BETWEEN -5 AND 5'
OF_A_KIND = {"tube": "inside_length_m", "thermometer": "step_K", "balance": "step_kg", "lot": "lot_mass_kg"}
POSSIBLE = {
    "inside_length_m": "> 0 AND {value} <= 10",
    "bore_m": "BETWEEN 0.005 AND 0.5",
    "caps_m": "BETWEEN 0 AND 10",
    "step_K": "BETWEEN 0.001 AND 5",
    "step_kg": "BETWEEN 0.000001 AND 0.1",
    "lot_mass_kg": "> 0 AND {value} <= 1000",
}


def upgrade() -> None:
    _make_kit_piece()
    op.create_table(
        "kit_check",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("checked_on", sa.Date(), nullable=False),
        sa.Column("ice_point_text", sa.String(68), nullable=True),
        sa.Column("ice_point_C", sa.String(64), nullable=True),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("teacher_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            '"ice_point_C" IS NOT NULL OR due_on IS NOT NULL', name=op.f("ck_kit_check_something_said")
        ),
        sa.CheckConstraint(
            '("ice_point_C" IS NULL) = (ice_point_text IS NULL)', name=op.f("ck_kit_check_reading_whole")
        ),
        sa.CheckConstraint(ICE_POINT, name=op.f("ck_kit_check_ice_point_possible")),
        sa.ForeignKeyConstraint(
            ["piece_id"], ["kit_piece.id"], name=op.f("fk_kit_check_piece_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["teacher_id"], ["teacher.id"], name=op.f("fk_kit_check_teacher_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit_check")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_kit_check_piece_id_id", "kit_check", ["piece_id", "id"], unique=False)
    forbid_updates(op.get_bind(), ["kit_check"])
    op.create_table(
        "bench_kit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("practical_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.Integer(), nullable=True) for name in PIECES),
        *(
            sa.Column(name, sa.String(64), nullable=True)
            for name in ("tube_length_m", "bore_m", "caps_m", "thermometer_step_K", "ice_point_C")
        ),
        sa.CheckConstraint("number BETWEEN 1 AND 99", name=op.f("ck_bench_kit_number_possible")),
        sa.CheckConstraint(ICE_POINT, name=op.f("ck_bench_kit_ice_point_possible")),
        sa.ForeignKeyConstraint(
            ["practical_id"], ["practical.id"], name=op.f("fk_bench_kit_practical_id"), ondelete="CASCADE"
        ),
        *(
            sa.ForeignKeyConstraint([name], ["kit_piece.id"], name=op.f(f"fk_bench_kit_{name}"))
            for name in PIECES
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_kit")),
        sa.UniqueConstraint("practical_id", "number", name=op.f("uq_bench_kit_practical_id_number")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("run", table_kwargs=KEEP_COUNTING) as run:
        for name in PIECES:
            run.add_column(sa.Column(name, sa.Integer(), nullable=True))
            run.create_foreign_key(op.f(f"fk_run_{name}"), "kit_piece", [name], ["id"])
            run.create_index(op.f(f"ix_run_{name}"), [name], unique=False)


def _make_kit_piece() -> None:
    op.create_table(
        "kit_piece",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("department_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("label", sa.String(24), nullable=False),
        sa.Column("label_key", sa.String(72), nullable=False),
        sa.Column("inside_length_m", sa.String(64), nullable=True),
        sa.Column("bore_m", sa.String(64), nullable=True),
        sa.Column("caps_m", sa.String(64), nullable=True),
        sa.Column("step_K", sa.String(64), nullable=True),
        sa.Column("step_kg", sa.String(64), nullable=True),
        sa.Column("material", sa.String(40), nullable=True),
        sa.Column("lot_mass_kg", sa.String(64), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "kind IN ('tube', 'thermometer', 'balance', 'lot')", name=op.f("ck_kit_piece_kind_known")
        ),
        sa.CheckConstraint("length(label) > 0", name=op.f("ck_kit_piece_label_given")),
        *(
            sa.CheckConstraint(
                f"(\"{column}\" IS NULL) = (kind <> '{kind}')",
                name=op.f(f"ck_kit_piece_{kind}_has_its_numbers"),
            )
            for kind, column in OF_A_KIND.items()
        ),
        sa.CheckConstraint(
            "(bore_m IS NULL AND caps_m IS NULL) OR kind = 'tube'", name=op.f("ck_kit_piece_bore_of_a_tube")
        ),
        sa.CheckConstraint("(material IS NULL) = (kind <> 'lot')", name=op.f("ck_kit_piece_metal_of_a_lot")),
        *(_possible(column, inside) for column, inside in POSSIBLE.items()),
        sa.ForeignKeyConstraint(
            ["department_id"], ["department.id"], name=op.f("fk_kit_piece_department_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit_piece")),
        sa.UniqueConstraint("department_id", "label_key", name=op.f("uq_kit_piece_department_id_label_key")),
        sqlite_autoincrement=True,
    )


def _possible(column: str, inside: str) -> sa.CheckConstraint:
    value = f'CAST("{column}" AS NUMERIC)'
    rule = f'"{column}" IS NULL OR {value} {inside.format(value=value)}'
    return sa.CheckConstraint(rule, name=op.f(f"ck_kit_piece_{column}_possible"))


def downgrade() -> None:
    with op.batch_alter_table("run", table_kwargs=KEEP_COUNTING) as run:
        for name in PIECES:
            run.drop_index(op.f(f"ix_run_{name}"))
            run.drop_constraint(op.f(f"fk_run_{name}"), type_="foreignkey")
            run.drop_column(name)
    op.drop_table("bench_kit")
    op.drop_index("ix_kit_check_piece_id_id", table_name="kit_check")
    op.drop_table("kit_check")  # its trigger goes with it
    op.drop_table("kit_piece")
