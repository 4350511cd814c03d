"""What a server's data folder knows of its records: enough to tell that they are older than they were.

The records count how often it changed who may get in (`AccessMark`). A copy of the count lies in a file
beside them, where going back to a backup does not reach; records with a smaller count are older than this
server knew. Sign-in names of teachers who are switched off lie in it too, to say who can sign in again.
"""

from __future__ import annotations

import json
import logging
import os
from dataclasses import asdict, dataclass
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.private import make_private_folder, open_private
from app.records.models import AccessMark, Teacher

LOG = logging.getLogger("plumbfall")


@dataclass(frozen=True)
class LastKnown:
    """`revived`: switched off before the records went back, and not switched off again since."""

    number: int
    switched_off: tuple[str, ...] = ()
    revived: tuple[str, ...] = ()


def read_last_known(file: Path) -> LastKnown | None:
    """What was known last; None where there is no such file, or none that can be read."""
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        return LastKnown(
            int(kept["number"]), tuple(map(str, kept["switched_off"])), tuple(map(str, kept["revived"]))
        )
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError) as error:
        LOG.warning("%s cannot be read (%s); the age of the records is not known", file, error)
        return None


def write_last_known(file: Path, known: LastKnown) -> None:
    """Put it on the disk, readable by its owner only. A failure is noted: nobody is kept waiting for it."""
    made = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        make_private_folder(file.parent)
        with os.fdopen(open_private(made, os.O_CREAT | os.O_WRONLY | os.O_TRUNC), "w", encoding="utf-8") as f:
            json.dump(asdict(known), f)
            f.flush()
            os.fsync(f.fileno())
        made.replace(file)
    except OSError as error:
        LOG.warning("%s cannot be written (%s); going back to a backup may pass unnoticed", file, error)


def count_of(session: Session) -> int:
    """How often the records say that it changed who may get in."""
    return session.scalars(select(AccessMark.number)).one()


def raise_count(session: Session, at_least: int = 0) -> int:
    """Count one more, past `at_least`."""
    mark = session.scalars(select(AccessMark).with_for_update()).one()
    mark.number = max(mark.number, at_least) + 1
    session.flush()
    return mark.number


def logins_on_and_off(session: Session) -> tuple[frozenset[str], tuple[str, ...]]:
    """The sign-in names that are on, and those that are off."""
    rows = session.execute(select(Teacher.login, Teacher.is_active).order_by(Teacher.login)).all()
    return frozenset(login for login, on in rows if on), tuple(login for login, on in rows if not on)


def can_sign_in_again(logins: tuple[str, ...]) -> str:
    """Who is to be looked at after the records went back."""
    return f"Switched off before, and able to sign in again: {', '.join(logins)}. Switch them off again."
