"""Pages are printed as they were when somebody last looked at them (`tests/exports/papers/kept.py`)."""

from __future__ import annotations

import pytest

from tests.exports.papers.kept import DRAWINGS, FOLDER
from tests.kept_text import assert_as_kept


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_page_is_printed_as_it_was_kept(name: str) -> None:
    assert_as_kept(FOLDER, name, DRAWINGS, nearly=0.15)
