"""Making many frozen records quickly, or only when they are looked at.

The `__init__` of a frozen dataclass sets each field through `object.__setattr__`; for a class of 48 runs
that is a tenth of the whole analysis. `made` fills the record at once: to everybody else it is the same
frozen record. Every field without a default must be given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar, overload

Record = TypeVar("Record")


def made(kind: type[Record], fields: dict[str, Any]) -> Record:
    """A `kind` (a dataclass without slots and without `__post_init__`) with these fields."""
    record = object.__new__(kind)
    record.__dict__.update(fields)
    return record


class Deferred(Sequence[Record]):
    """Records that are made, once, when somebody looks at them; equal to the tuple of the same records."""

    __slots__ = ("_items", "_make")

    def __init__(self, make: Callable[[], tuple[Record, ...]]) -> None:
        self._make = make
        self._items: tuple[Record, ...] | None = None

    def items(self) -> tuple[Record, ...]:
        if self._items is None:
            self._items = self._make()
        return self._items

    def __len__(self) -> int:
        return len(self.items())

    @overload
    def __getitem__(self, index: int) -> Record: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Record, ...]: ...
    def __getitem__(self, index: int | slice) -> Record | tuple[Record, ...]:
        return self.items()[index]

    def __iter__(self) -> Iterator[Record]:
        return iter(self.items())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and self.items() == tuple(other)

    def __hash__(self) -> int:
        return hash(self.items())

    def __repr__(self) -> str:
        return repr(self.items())

    def __reduce__(self) -> tuple[type[tuple[Record, ...]], tuple[tuple[Record, ...]]]:
        """A copy or a pickle is the plain tuple."""
        return tuple, (self.items(),)
