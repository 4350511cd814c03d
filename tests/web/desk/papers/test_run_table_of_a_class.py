"""What the downloads say beside the readings is what the balance of energy gives."""

from __future__ import annotations

import csv
import io
import math

import openpyxl
import pytest

from app.practicals.board.snapshot import class_snapshot
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader

WORKED_OUT = (
    "fall_m",
    "specific_energy_J_per_kg",
    "warming_K",
    "apparent_heat_capacity_J_per_kg_K",
    "standard_uncertainty_J_per_kg_K",
)
FALL_M, ENERGY_J_PER_KG = 0.95, 9.80665 * 0.95 * 50
"""A tube of 1.00 m with an allowance of 0.05 m, tipped fifty times; g is the standard one (CGPM 1901)."""


def _csv(desk: Reader, a_class: AClass) -> list[dict[str, str]]:
    data = desk.get(f"/desk/{a_class.practical_id}/runs.csv").data
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def test_every_run_has_its_fall_energy_warming_and_value(desk: Reader, class_with_a_slip: AClass) -> None:
    result = class_snapshot(
        class_with_a_slip.database, class_with_a_slip.practical_id, actor=class_with_a_slip.teacher
    ).result
    assert result is not None
    rows = _csv(desk, class_with_a_slip)
    assert len(rows) == 14
    for row, run in zip(rows, result.runs, strict=True):
        warming = float(row["end_temperature_C"]) - float(row["start_temperature_C"])
        assert float(row["fall_m"]) == pytest.approx(FALL_M)
        assert float(row["specific_energy_J_per_kg"]) == pytest.approx(ENERGY_J_PER_KG)
        assert float(row["warming_K"]) == pytest.approx(warming)
        if warming <= 0:
            assert row["apparent_heat_capacity_J_per_kg_K"] == row["standard_uncertainty_J_per_kg_K"] == ""
            assert row["suspected_slip"] == "temperatures-swapped"
            continue
        assert float(row["apparent_heat_capacity_J_per_kg_K"]) == pytest.approx(ENERGY_J_PER_KG / warming)
        assert float(row["standard_uncertainty_J_per_kg_K"]) == pytest.approx(
            run.standard_uncertainty_J_per_kg_K
        )
    assert sum(row["suspected_slip"] != "" for row in rows) == 1


def test_the_workbook_says_the_same_as_the_table(desk: Reader, class_with_a_slip: AClass) -> None:
    rows = _csv(desk, class_with_a_slip)
    data = desk.get(f"/desk/{class_with_a_slip.practical_id}/runs.xlsx").data
    sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
    header = [cell.value for cell in sheet[1]]
    for place, row in enumerate(rows, 2):
        for name in WORKED_OUT:
            value = sheet.cell(place, header.index(name) + 1).value
            if row[name] == "":
                assert value is None, (place, name)
            else:
                assert isinstance(value, int | float)
                assert math.isclose(value, float(row[name]), rel_tol=1e-9), (place, name)
