"""Backups that a running server makes by the clock.

Which are due is read from the names of those that are there, so that one that was missed (the machine was off
at the hour) is made soon after the next start, and a server that starts often makes no more than were wanted.
"""

from __future__ import annotations

import os
import re
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from app.records.backup import BackupProblem, back_up
from app.records.engine import Database
from app.records.finding import Finding
from app.records.whole_file import stamp
from app.words import N_, Message

NAME = re.compile(r"plumbfall-(\d{8}T\d{6}Z)\.db")
"""What this module names its files, and what alone it ever deletes."""
AGAIN_AFTER = timedelta(minutes=15)
"""Own choice: often enough for a disk that was full for an hour, seldom enough for the log."""
TOO_OLD = timedelta(days=7)
"""The doctor calls it bad then; a school's machine may well be off for some days (own choice)."""
SUBJECT = "scheduled backups"
NO_FOLDER = N_("The folder for backups, %(folder)s, is not there, so none is made until it is.")


@dataclass(frozen=True)
class Schedule:
    """Where the backups go, at which hours of the school's clock, and how many of them stay."""

    folder: Path
    hours: tuple[int, ...]
    keep: int
    local: Callable[[datetime], datetime]

    @property
    def sentence(self) -> str:
        """For whoever looks after the installation."""
        hours = ", ".join(f"{hour:02d}:00" for hour in self.hours)
        made = f"every day at {hours} into {self.folder}, the latest {self.keep} kept"
        return f"{made} (that folder is not there, so none is made until it is)" if self.is_away else made

    @property
    def is_away(self) -> bool:
        """Whether the folder is missing: a disk not plugged in is not replaced by a folder."""
        return not self.folder.is_dir()

    def last_due(self, now: datetime) -> datetime:
        """The latest moment at which one should have been made."""
        here = self.local(now)
        days = (here - timedelta(days=1), here)
        at = (
            day.replace(hour=hour, minute=0, second=0, microsecond=0) for day in days for hour in self.hours
        )
        return max(moment for moment in at if moment <= here)

    def made(self) -> list[tuple[datetime, Path]]:
        """The backups that are there, the latest first."""
        found = ((NAME.fullmatch(path.name), path) for path in self.folder.glob("plumbfall-*.db"))
        times = ((_time(match[1]), path) for match, path in found if match)
        return sorted(((time, path) for time, path in times if time), reverse=True)

    def made_until(self, now: datetime) -> list[tuple[datetime, Path]]:
        """Those that are not of the future, as a clock that was wrong for a while would leave them."""
        return [(time, path) for time, path in self.made() if time <= now]

    def is_due(self, now: datetime) -> bool:
        """Whether the latest one is missing."""
        made = self.made_until(now)
        return not made or made[0][0] < self.last_due(now)


NOT_OF_POSTGRESQL = "not by this server: the records are in PostgreSQL, which has pg_dump for that"
"""Said where a folder for backups is set all the same."""


class Scheduled:
    """A schedule at work. `problem` is why the latest one could not be made; None where it was."""

    def __init__(self, database: Database, schedule: Schedule) -> None:
        self.schedule = schedule
        self.problem: Message | None = None
        self._database = database
        self._tried: datetime | None = None
        self._turn = threading.Lock()

    def look(self, now: datetime) -> Path | None:
        """Make one if it is due, let the oldest go, and give the new one's name.

        Raises `BackupProblem` where it could not be made; that is tried again after `AGAIN_AFTER`.
        """
        with self._turn:
            waiting = self._tried is not None and abs(now - self._tried) < AGAIN_AFTER
            if waiting or not self.schedule.is_due(now):
                return None
            try:
                made = self._make(now)
            except BackupProblem as failure:
                self._tried, self.problem = now, failure.message
                raise
            self._tried = self.problem = None
            return made

    def _make(self, now: datetime) -> Path:
        if self.schedule.is_away:
            raise BackupProblem(Message(NO_FOLDER, {"folder": str(self.schedule.folder)}))
        made = back_up(self._database, self.schedule.folder / f"plumbfall-{stamp(now)}.db").path
        _thin_out(self.schedule.made_until(now), self.schedule.keep)
        return made


def scheduled_for(
    database: Database,
    folder: Path | None,
    hours: tuple[int, ...],
    keep: int,
    local: Callable[[datetime], datetime],
) -> Scheduled | None:
    """None where no folder is set, and on PostgreSQL."""
    if folder is None or database.path is None:
        return None
    return Scheduled(database, Schedule(folder, hours, keep, local))


def finding_about_backups(
    database: Database,
    folder: Path,
    hours: tuple[int, ...],
    keep: int,
    local: Callable[[datetime], datetime],
    *,
    now: datetime,
) -> Finding:
    """The doctor's line, and what a server says at its start."""
    if database.path is None:
        return Finding(SUBJECT, NOT_OF_POSTGRESQL, good=False)
    schedule = Schedule(folder, hours, keep, local)
    made = schedule.made()
    latest = f"; the latest is of {local(made[0][0]):%Y-%m-%d %H:%M}" if made else "; none is there yet"
    writable = schedule.is_away or os.access(folder, os.W_OK | os.X_OK)
    told = schedule.sentence + ("" if schedule.is_away else latest if writable else "; it cannot be written")
    late = bool(made) and now - made[0][0] > TOO_OLD
    return Finding(SUBJECT, told, good=writable and not schedule.is_away and not late)


def _thin_out(made: Sequence[tuple[datetime, Path]], keep: int) -> None:
    try:
        for _made_at, path in made[keep:]:
            path.unlink(missing_ok=True)
    except OSError as error:
        why = {"why": error.strerror or str(error)}
        raise BackupProblem(Message(N_("Older backups could not be removed: %(why)s."), why)) from error


def _time(text: str) -> datetime | None:
    try:
        return datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    except ValueError:
        return None
