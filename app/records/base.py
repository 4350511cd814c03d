"""What every table stands on: named constraints, and columns that keep exactly what was given."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Annotated, Any, ClassVar

from sqlalchemy import CheckConstraint, DateTime, MetaData, String
from sqlalchemy.engine import Dialect
from sqlalchemy.orm import DeclarativeBase, mapped_column
from sqlalchemy.types import TypeDecorator, TypeEngine

from app.physics.limits import ICE_POINT_C, LONGEST_STORED, MOST_BENCHES, Range
from app.records.errors import Unprocessable
from app.words import N_, Message

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class WordsNotKept(Unprocessable):
    """A text that a column cannot hold."""


class UtcDateTime(TypeDecorator[datetime]):
    """An instant: an aware `datetime` goes in, an aware `datetime` in UTC comes out, on every database."""

    impl = DateTime
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(DateTime(timezone=dialect.name == "postgresql"))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant needs its time zone")
        instant = value.astimezone(UTC)
        return instant if dialect.name == "postgresql" else instant.replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class ExactDecimal(TypeDecorator[Decimal]):
    """A finite `Decimal` kept digit for digit as text, so that no binary rounding ever touches a reading."""

    impl = String
    cache_ok = True

    def __init__(self) -> None:
        super().__init__(LONGEST_STORED)

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if not isinstance(value, Decimal) or not value.is_finite():
            raise ValueError("an exact decimal must be a finite Decimal")
        text = format(value, "f")
        if len(text) > LONGEST_STORED:
            raise ValueError(f"an exact decimal of more than {LONGEST_STORED} characters is not kept")
        return text

    def process_result_value(self, value: str | None, dialect: Dialect) -> Decimal | None:
        return None if value is None else Decimal(value)


class Words(TypeDecorator[str]):
    """Text that both databases keep alike: no longer than its column, no NUL, no half of a character pair.

    SQLite would take any length and a NUL, PostgreSQL neither; here both refuse with the same sentence.
    """

    impl = String
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if "\x00" in value or any("\ud800" <= character <= "\udfff" for character in value):
            raise WordsNotKept(Message(N_("The text holds a character that cannot be kept. Type it again.")))
        longest = self.impl_instance.length  # type: ignore[attr-defined]
        if longest is not None and len(value) > longest:
            raise WordsNotKept(
                Message(
                    N_("A text has at most %(most)s characters here. Shorten it."), {"most": str(longest)}
                )
            )
        return value


class Base(DeclarativeBase):
    """All tables; ids are never given out twice, so that a stale link cannot point at another row.

    Every column says what it holds, in `doc=` or, for the older ones, in `comment=`. A comment is part of the
    database: PostgreSQL keeps it, so that a new or changed one needs a migration; `doc=` needs none.
    """

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar = {datetime: UtcDateTime(), Decimal: ExactDecimal()}


RowId = Annotated[int, mapped_column(primary_key=True, doc="Number of the row, never given out twice")]


def possible(column: str, bounds: Range, name: str = "", *, above_least: bool = False) -> CheckConstraint:
    """The rule that a column of exact decimals lies within these bounds, or is empty.

    The database reads the text as a number. `above_least`: the least is not taken.
    """
    value, least, most = f'CAST("{column}" AS NUMERIC)', bounds.least, bounds.most
    inside = (
        f"{value} > {least} AND {value} <= {most}" if above_least else f"{value} BETWEEN {least} AND {most}"
    )
    return CheckConstraint(f'"{column}" IS NULL OR {inside}', name=name or f"{column}_possible")


def ice_point_possible() -> CheckConstraint:
    """The rule of a column `ice_point_C`: what a thermometer can show in melting ice, or nothing."""
    return possible("ice_point_C", ICE_POINT_C.refused_outside, "ice_point_possible")


def bench_number_possible() -> CheckConstraint:
    """The rule of a column `number` that holds a bench's number."""
    return CheckConstraint(f"number BETWEEN 1 AND {MOST_BENCHES}", name="number_possible")
