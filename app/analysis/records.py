"""Making many frozen records quickly.

The `__init__` of a frozen dataclass sets each field through `object.__setattr__`; for a class of 48 runs
that is a tenth of the whole analysis. `made` fills the record at once: to everybody else it is the same
frozen record. Every field without a default must be given. `made_from_columns` does the same for named
tuples, without a call of their `__new__`, written in Python, for each of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import repeat
from typing import Any, NamedTuple, TypeVar, cast

Record = TypeVar("Record")
Row = TypeVar("Row", bound=NamedTuple)


def made(kind: type[Record], fields: dict[str, Any]) -> Record:
    """A `kind` (a dataclass without slots and without `__post_init__`) with these fields."""
    record = object.__new__(kind)
    object.__setattr__(record, "__dict__", fields)
    return record


def made_from_columns(kind: type[Row], *columns: Iterable[Any]) -> Iterator[Row]:
    """A named tuple `kind` for each row of the columns, one column for each of its fields."""
    return cast("Iterator[Row]", map(tuple.__new__, repeat(kind), zip(*columns, strict=False)))
