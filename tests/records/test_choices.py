"""The words that a column may hold are those that the database lets in."""

from __future__ import annotations

import re

import pytest
from sqlalchemy import Enum, inspect

from app.records.base import Base
from app.records.choices import IN_COLUMNS
from app.records.engine import Database

CHOSEN = {
    (table.name, column.name): column.type
    for table in Base.metadata.sorted_tables
    for column in table.columns
    if isinstance(column.type, Enum)
}
WITHOUT_A_RULE = {("practical", "board_step")}


def test_every_list_of_words_has_a_column() -> None:
    assert {kind.enum_class for kind in CHOSEN.values()} == set(IN_COLUMNS)


@pytest.mark.parametrize(("table", "column"), sorted(CHOSEN.keys() - WITHOUT_A_RULE))
def test_the_database_lets_in_these_words_and_no_others(database: Database, table: str, column: str) -> None:
    rules = [str(rule["sqltext"]) for rule in inspect(database.engine).get_check_constraints(table)]
    listed = {
        tuple(re.findall(r"'([^']*)'", rule))
        for rule in rules
        if re.match(rf"\W*{column}\W", rule) and "<>" not in rule
    }
    words = CHOSEN[table, column].enum_class
    assert words is not None
    assert listed == {tuple(word.value for word in words)}
