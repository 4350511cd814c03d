"""The declarative base: every constraint has a name, so that it can be spoken about."""

from __future__ import annotations

from sqlalchemy import MetaData
from sqlalchemy.orm import DeclarativeBase

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """All tables; ids are never given out twice, so that a stale link cannot point at another row.

    Every column says what it holds, in `doc=` or, for the older ones, in `comment=`. A comment is part of the
    database: PostgreSQL keeps it, so that a new or changed one needs a migration; `doc=` needs none.
    """

    metadata = MetaData(naming_convention=NAMING)
