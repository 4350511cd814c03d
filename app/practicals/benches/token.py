"""Which bench the phone with this token speaks for: asked before every page of a phone, so a light look."""

from __future__ import annotations

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from app.practicals.people.actors import BenchIdentity
from app.practicals.people.credentials import digest, is_possible
from app.records.models import Bench, BenchPhone

_OF_TOKEN = (
    select(Bench.practical_id, Bench.id, Bench.number, BenchPhone.id, Bench.waits_for_teacher)
    .join(BenchPhone, BenchPhone.bench_id == Bench.id)
    .where(BenchPhone.token_digest == bindparam("token_digest"), BenchPhone.left_at.is_(None))
)


def identity_for(records: Session | Connection, token: str) -> BenchIdentity | None:
    """The bench, or None where the token is none of ours or its phone has left."""
    if not is_possible(token):
        return None
    row = records.execute(_OF_TOKEN, {"token_digest": digest(token)}).first()
    return BenchIdentity(*row) if row else None
