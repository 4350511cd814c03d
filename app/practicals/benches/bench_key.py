"""The bench key, which lets a bench's second phone in. Only wrong ones count, for an hour.

They are counted for each phone, so that a phone that guesses keeps nobody else out; and, far more of them,
for the bench, because whoever guesses can look like another phone each time.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from app.practicals.people import credentials
from app.practicals.people.credentials import tidy_code
from app.records.models import Bench
from app.words import N_, Message

MOST_WRONG_KEYS = 12
"""Of one phone (own choice)."""
MOST_FOR_A_BENCH = credentials.MOST_FAILURES_KEPT
"""Of all phones: 200 of 8⁵ keys, one chance in 160 an hour (own choice)."""

_NOTHING_TYPED = N_("Nothing was typed. Type the bench key that the first phone shows.")
_WRONG = N_("That is not the key of bench %(bench)s. Read it again on the first phone, under “Second phone”.")
_TOO_MANY = N_("Too many wrong keys were tried for bench %(bench)s. Ask the teacher to let this phone in.")


def refusal_of_key(session: Session, bench: Bench, typed: str, phone: str, now: datetime) -> Message | None:
    """Why this key does not let this phone in; None where it does. A wrong one is counted."""
    key, subjects = tidy_code(typed), [(_of_phone(bench.id, phone), MOST_WRONG_KEYS)]
    subjects.append((key_subject(bench.id), MOST_FOR_A_BENCH))
    if not key:
        return Message(_NOTHING_TYPED)
    if any(credentials.failures(session, subject, now)[0] >= most for subject, most in subjects):
        return Message(_TOO_MANY, {"bench": str(bench.number)})
    if key == bench.bench_key:
        return None
    for subject, _ in subjects:
        credentials.note_failure(session, subject, now)
    return Message(_WRONG, {"bench": str(bench.number)})


def key_subject(bench_id: int) -> str:
    """Under what all wrong keys for a bench are counted."""
    return credentials.attempt_subject("bench key", str(bench_id))


def _of_phone(bench_id: int, phone: str) -> str:
    return credentials.attempt_subject("bench key of a phone", str(bench_id), phone)
