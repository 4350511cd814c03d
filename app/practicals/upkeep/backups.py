"""Backups by command: making one, and going back to one. The department's log tells of both."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import func, select

from app.practicals.people.access import WentBack, end_sign_ins_of_older_records
from app.practicals.people.log import add_to_log
from app.private import make_private_folder
from app.records.backup import Backup, back_up
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.models import Practical, Run
from app.records.restoring import (
    NotInSQLite,
    RestoreFailed,
    look_at,
    prepared,
    put_in_place,
    refuse_others_records,
)
from app.records.revisions import newest_revision
from app.records.running import kept_alone
from app.words import N_


@dataclass(frozen=True)
class BackupContent:
    """What a backup holds: how much, and of when the latest lesson is."""

    practicals: int
    runs: int
    latest: date | None
    revision: str

    @property
    def is_older(self) -> bool:
        """Whether its tables are of an earlier version than this program's."""
        return self.revision != newest_revision()


@dataclass(frozen=True)
class Restored:
    """`kept` is where the replaced records are now; `back` is said where they were newer."""

    held: BackupContent
    kept: Path | None
    back: WentBack | None


ITSELF = N_("the backup is the file of the records itself")


def back_up_by_command(database: Database, file: Path, *, now: datetime) -> Backup:
    """Copy the records to `file`. Raises `BackupProblem`; a copy that was made stays without its line."""
    made = back_up(database, file)
    with suppress(StorageProblem), database.writing() as session:  # an earlier version's tables have no log
        add_to_log(session, LogKind.BACKED_UP, None, now)
    return made


def look_into(database: Database, file: Path) -> BackupContent:
    """Everything that `restore` looks at before it begins, and what the backup holds. Nothing is changed."""
    _place(database, file)
    revision = look_at(file)
    with TemporaryDirectory() as folder, prepared(file, Path(folder) / "looked-into.db") as ready:
        return _held(ready, revision)


def restore(database: Database, file: Path, *, now: datetime) -> Restored:
    """Put the backup in the place of the records; nobody is signed in afterwards, and no browser is known."""
    records = _place(database, file)
    refuse_others_records(records)
    revision = look_at(file)
    make_private_folder(records.parent)
    with kept_alone(database), prepared(file, records) as ready:
        held = _held(ready, revision)
        with ready.writing() as session:
            add_to_log(session, LogKind.RESTORED, None, now)
        database.close()
        kept = put_in_place(ready, records, now)
        back = end_sign_ins_of_older_records(database, now=now)
    return Restored(held, kept, back)


def _place(database: Database, file: Path) -> Path:
    if database.path is None:
        raise NotInSQLite(file=file)
    if file.exists() and file.resolve() == database.path.resolve():
        raise RestoreFailed(why=ITSELF)
    return database.path.resolve()


def _held(ready: Database, revision: str) -> BackupContent:
    with ready.reading() as session:
        runs = select(func.count()).select_from(Run).where(Run.simulated.is_(False))
        practicals, latest = session.execute(select(func.count(), func.max(Practical.held_on))).one()
        return BackupContent(practicals, session.scalar(runs) or 0, latest, revision)
