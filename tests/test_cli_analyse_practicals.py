"""`plumbfall analyse` on a table that says which practical a run is of, and what its class shares."""

from __future__ import annotations

import json

import pytest

from tests.test_cli_analyse import HEADER, ROW, analyse, one_line

TWO = HEADER.replace("\n", ",practical_key,held_on,title,accepted_J_per_kg_K\n") + "".join(
    ROW.replace("\n", f",{key},{day},{title},{accepted}\n")
    for key, day, title, accepted in (
        ("0a1b", "2031-03-06", "Period 4", "128"),
        ("0a1b", "2031-03-06", "Period 4", "128"),
        ("0c2d", "2031-03-07", "Period 5", "131"),
    )
)


@pytest.mark.parametrize("called_by", ["0c2d", "0c", "Period 5", "2031-03-07"])
def test_one_of_several_practicals_in_a_file_is_chosen_by_key_title_or_day(called_by: str) -> None:
    found = json.loads(analyse("-", "--json", "--practical", called_by, stdin=TWO.encode()).stdout)
    assert len(found["runs"]) == 1
    assert found["class_value"]["accepted_J_per_kg_K"] == 131


def test_several_practicals_in_a_file_are_named_where_none_is_chosen() -> None:
    said = one_line(analyse("-", stdin=TWO.encode()))
    assert "Choose one with --practical KEY: 0a1b (2031-03-06, Period 4); 0c2d (2031-03-07, Period 5)" in said
    assert "is called Period 6. There are: 0a1b" in one_line(
        analyse("-", "--practical", "Period 6", stdin=TWO.encode())
    )


@pytest.mark.parametrize(
    ("column", "cell", "why"),
    [
        ("accepted_J_per_kg_K", "0", "must be more than zero"),
        ("length_sd_m", "-0.1", "cannot be less than zero"),
        ("gravity_m_per_s2", "much", "is not a number"),
    ],
)
def test_what_a_class_cannot_share_is_refused_by_row_and_column(column: str, cell: str, why: str) -> None:
    table = HEADER.replace("\n", f",{column}\n") + ROW.replace("\n", f",{cell}\n")
    said = one_line(analyse("-", stdin=table.encode()))
    assert f"Row 2, column {column}" in said
    assert why in said


def test_runs_of_one_practical_share_one_value() -> None:
    table = (
        HEADER.replace("\n", ",gravity_m_per_s2\n")
        + ROW.replace("\n", ",9.81\n")
        + ROW.replace("\n", ",9.8\n")
    )
    said = one_line(analyse("-", stdin=table.encode()))
    assert "Row 3, column gravity_m_per_s2" in said
    assert "says 9.8 and an earlier one 9.81" in said


def test_another_metal_leaves_the_accepted_value_of_the_tables_metal_behind() -> None:
    """Copper has 385 J/(kg·K) to three digits (CRC Handbook of Chemistry and Physics)."""
    table = HEADER.replace("\n", ",material,accepted_J_per_kg_K\n") + ROW.replace("\n", ",lead,128\n")
    found = json.loads(analyse("-", "--json", "--material", "copper", stdin=table.encode()).stdout)
    assert found["class_value"]["accepted_J_per_kg_K"] == pytest.approx(385, abs=1)
