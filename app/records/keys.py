"""Keys by which practicals, benches and people are known outside this database.

A row's id means nothing in another database, so that what goes out carries a UUID made of what never changes.
Runs and their corrections have keys of their own: those with which they were sent.
"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID, uuid5

NAMESPACE = UUID("e2508eec-3532-4f37-b96d-ca910f91560d")
"""Drawn once; another one would give every practical another key."""


def practical_key(practical_id: int, created_at: datetime, imported_as: str | None = None) -> str:
    """A practical's key: the one that it came with from another place, else one of its id and its beginning.

    Two databases may both have a practical 1, but none that were planned in the same microsecond.
    """
    return imported_as or str(uuid5(NAMESPACE, f"practical/{practical_id}/{created_at.isoformat()}"))


def bench_key(practical: str, number: int) -> str:
    """A bench's key within its practical, where its number is its own."""
    return str(uuid5(UUID(practical), f"bench/{number}"))


def person_key(teacher_id: int, created_at: datetime, brought_in_as: str | None = None) -> str:
    """A teacher's key: the one under which a file named them, else one of the account. It tells two of one
    name apart, and opens nothing."""
    return brought_in_as or str(uuid5(NAMESPACE, f"teacher/{teacher_id}/{created_at.isoformat()}"))
