"""A backup by somebody's command, which the department's log tells of."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from pathlib import Path

from app.practicals.people.log import add_to_log
from app.records.backup import Backup, back_up
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.errors import StorageProblem


def back_up_by_command(database: Database, file: Path, *, now: datetime) -> Backup:
    """Copy the records to `file`. Raises `BackupProblem`; a copy that was made stays without its line."""
    made = back_up(database, file)
    with suppress(StorageProblem), database.writing() as session:  # an earlier version's tables have no log
        add_to_log(session, LogKind.BACKED_UP, None, now)
    return made
