"""From a database's own error to a sentence: which rule was broken, and what that means."""

from __future__ import annotations

import re
from functools import cache

from sqlalchemy import UniqueConstraint
from sqlalchemy.exc import DBAPIError, IntegrityError, StatementError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from app.records.base import Base
from app.records.errors import (
    ConstraintBroken,
    DatabaseBusy,
    DatabaseDamaged,
    DatabaseFull,
    DatabaseNotReady,
    DatabaseUnreachable,
    FileNotOpened,
    Problem,
    StorageProblem,
)
from app.words import N_, Message

BENCH_NUMBER = N_("A bench number is between 1 and 99.")
BENCH_TWICE = N_("The plan names the same bench twice. Give each bench one line.")
LOGIN_TAKEN = N_("There is already a teacher with that sign-in name. Choose another one.")
_ICE_POINT = N_("In melting ice a thermometer shows between −5 and 5 °C.")
_INVERSIONS = N_("The number of inversions must be between 1 and 10 000.")

SENTENCES = {
    "uq_department_name": N_("There is already a department of that name. Choose another name."),
    "uq_teacher_login": LOGIN_TAKEN,
    "ck_teacher_known_from_a_file": N_(
        "This person is known from a file that was brought in, and cannot sign in. Add a teacher instead."
    ),
    "uq_practical_join_code": N_("That join code is in use at the moment. Ask for another one."),
    "uq_bench_practical_id_number": N_(
        "That bench has joined already. Use its bench key, or ask the teacher."
    ),
    "uq_bench_plan_practical_id_number": BENCH_TWICE,
    "uq_run_idempotency_key": N_("This run was sent before with other readings. Reload the page and look."),
    "uq_run_bench_id_number": N_("Two runs arrived at the same moment. Send yours again."),
    "uq_run_version_run_id_version": N_("This run was corrected by someone else just now. Reload and look."),
    "uq_decision_run_id_run_revision": N_("Someone else decided about this run just now. Reload and look."),
    "uq_kit_piece_department_id_label_key": N_(
        "There is already a piece with that label in the department. Give this one another label."
    ),
    "uq_bench_kit_practical_id_number": BENCH_TWICE,
    "ck_bench_kit_number_possible": BENCH_NUMBER,
    "ck_bench_kit_ice_point_possible": _ICE_POINT,
    "ck_kit_check_ice_point_possible": _ICE_POINT,
    "ck_kit_check_written_once": N_("A check is kept as it was. Note another one instead."),
    "ck_practical_inversions_possible": _INVERSIONS,
    "ck_practical_planned_benches_possible": N_("The number of benches must be between 1 and 99."),
    "ck_bench_number_possible": BENCH_NUMBER,
    "ck_bench_plan_number_possible": BENCH_NUMBER,
    "ck_bench_plan_inversions_possible": _INVERSIONS,
    "ck_bench_ice_point_possible": _ICE_POINT,
    "ck_bench_plan_ice_point_possible": _ICE_POINT,
    "ck_run_version_inversions_possible": _INVERSIONS,
    "ck_run_idempotency_key_long": N_(
        "The page sent this run without its key. Reload the page; nothing is lost."
    ),
    "ck_decision_reason_given": N_("Give a reason, so that the class can see why."),
    "ck_run_version_written_once": N_("What a bench typed is kept as it was. Add a correction instead."),
    "ck_decision_written_once": N_("A decision is kept as it was. Decide again instead."),
    "ck_deletion_written_once": N_("What was deleted and by whom is kept as it was."),
    "ck_state_change_written_once": N_("The history of a practical is kept as it was."),
}
OTHER = N_("This does not fit with what is stored (%(rule)s). Reload the page and try again.")

_SQLITE_BUSY, _SQLITE_LOCKED = 5, 6
_SQLITE_READONLY, _SQLITE_IOERR, _SQLITE_FULL, _SQLITE_CANTOPEN = 8, 10, 13, 14
_SQLITE_CORRUPT, _SQLITE_NOTADB = 11, 26
_BUSY_STATES = {"55P03", "40P01", "40001", "53300", "57014"}
_FULL_STATES = {"53100", "58030", "25006"}
_NOT_READY_STATES = {"42P01", "42703"}


def sentence_for(constraint: str) -> Message:
    """What breaking this named rule means, in words."""
    template = SENTENCES.get(constraint)
    return Message(template) if template else Message(OTHER, {"rule": constraint})


@cache
def _unique_by_columns() -> dict[tuple[str, ...], str]:
    names = {}
    for table in Base.metadata.tables.values():
        for constraint in table.constraints:
            if isinstance(constraint, UniqueConstraint):
                key = tuple(sorted(f"{table.name}.{column.name}" for column in constraint.columns))
                names[key] = str(constraint.name)
    return names


def constraint_name(error: IntegrityError) -> str:
    """The broken rule's name; SQLite names unique rules by their columns only, so they are looked up."""
    diagnostics = getattr(error.orig, "diag", None)
    if diagnostics is not None and diagnostics.constraint_name:
        return str(diagnostics.constraint_name)
    text = str(error.orig)
    if found := re.match(r"UNIQUE constraint failed: (.+)$", text):
        columns = tuple(sorted(part.strip() for part in found[1].split(",")))
        return _unique_by_columns().get(columns, found[1])
    if found := re.match(r"CHECK constraint failed: (\S+)", text):
        return found[1]
    if "FOREIGN KEY" in text:
        return "foreign key"
    return "not null" if "NOT NULL" in text else "integrity"


def explained(error: Exception) -> Problem | None:
    """The named problem that a database error stands for, or None if it is a fault of this program."""
    if isinstance(error, PoolTimeout):
        return DatabaseBusy()
    if isinstance(error, IntegrityError):
        name = constraint_name(error)
        return ConstraintBroken(name, sentence_for(name))
    if isinstance(error, StatementError) and isinstance(error.orig, Problem):
        return error.orig  # a column's own type said why
    if not isinstance(error, DBAPIError):
        return None
    return _of_sqlite(error) or _of_postgresql(error)


def _of_sqlite(error: DBAPIError) -> StorageProblem | None:
    code = getattr(error.orig, "sqlite_errorcode", None)
    if code is None:
        return None
    primary = code & 0xFF
    if primary in (_SQLITE_BUSY, _SQLITE_LOCKED):
        return DatabaseBusy()
    if primary in (_SQLITE_READONLY, _SQLITE_IOERR, _SQLITE_FULL):
        return DatabaseFull()
    if primary in (_SQLITE_CORRUPT, _SQLITE_NOTADB):
        return DatabaseDamaged()
    if primary == _SQLITE_CANTOPEN:
        return FileNotOpened()
    text = str(error.orig)
    return DatabaseNotReady() if "no such table" in text or "no such column" in text else None


def _of_postgresql(error: DBAPIError) -> StorageProblem | None:
    orig = error.orig
    if orig is None or not type(orig).__module__.startswith("psycopg"):
        return None
    state = getattr(orig, "sqlstate", None)
    if state in _BUSY_STATES:
        return DatabaseBusy()
    if state in _FULL_STATES:
        return DatabaseFull()
    if state in _NOT_READY_STATES:
        return DatabaseNotReady()
    lost = error.connection_invalidated or (state or "").startswith(("08", "57P", "28", "3D"))
    no_connection = state is None and type(orig).__name__ == "OperationalError"
    return DatabaseUnreachable() if lost or no_connection else None
