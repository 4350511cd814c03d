"""Many named tuples from columns, without a call of their `__new__`, written in Python, for each of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import repeat
from typing import Any, NamedTuple, TypeVar, cast

Row = TypeVar("Row", bound=NamedTuple)


def made_from_columns(kind: type[Row], *columns: Iterable[Any]) -> Iterator[Row]:
    """A named tuple `kind` for each row of the columns, one column for each of its fields."""
    return cast("Iterator[Row]", map(tuple.__new__, repeat(kind), zip(*columns, strict=False)))
