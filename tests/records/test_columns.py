"""What each column holds is said beside it."""

from __future__ import annotations

import pytest
from sqlalchemy import Column

from app.records import models
from app.records.base import Base

COLUMNS = [column for table in Base.metadata.sorted_tables for column in table.columns]


def test_all_tables_are_looked_at() -> None:
    assert {column.table.name for column in COLUMNS} == {
        getattr(models, name).__tablename__ for name in models.__all__
    }


@pytest.mark.parametrize("column", COLUMNS, ids=str)
def test_a_column_says_what_it_holds(column: Column[object]) -> None:
    said = column.doc or column.comment or ""
    assert len(said.split()) > 1, f"{column} is not described: give it doc="
