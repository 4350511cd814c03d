"""What the tests of faults share: a process to fork servers from, and the figures that a long run tells."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from tests.faults.forked import Nursery


@pytest.fixture(scope="session")
def nursery() -> Iterator[Nursery]:
    """One for each worker."""
    made = Nursery()
    yield made
    made.close()


@pytest.fixture
def told(record_property: Callable[[str, object], None]) -> Callable[[str], None]:
    """Says a line of figures at the end of the run (`python -m tests.faults`)."""
    return lambda line: record_property("figures", line)
