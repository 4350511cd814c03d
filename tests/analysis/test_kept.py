"""A class and a plan are analysed as they were when somebody last looked (`tests/analysis/kept.py`)."""

from __future__ import annotations

import pytest

from tests.analysis.kept import KEPT, assert_as_kept


@pytest.mark.parametrize("name", KEPT)
def test_everything_said_is_as_it_was_kept(name: str) -> None:
    assert_as_kept(name)
