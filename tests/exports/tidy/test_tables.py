"""The tidy tables: validated by the library `csvw`, complete by themselves, and safe in a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import csvw
import pytest

from app.analysis.views.json import as_plain_data
from app.exports.cells import NUMBER
from app.exports.record.document import document
from app.exports.run_table import COLUMNS
from app.exports.tidy.class_columns import KIT, RESULTS
from app.exports.tidy.column import UCUM, Kind
from app.exports.tidy.columns import RUNS
from app.exports.tidy.csv_text import CsvText
from app.exports.tidy.csvw import UCUM_CODE, metadata
from app.exports.tidy.rows import KeptFigures
from app.exports.tidy.tables import METADATA, TABLES, file_of, rows_of
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.out.whole import whole_practical
from app.records.engine import Database
from app.records.whole import WholePractical
from tests.practicals.a_class import NOW, AClass
from tests.practicals.a_full_class import FORMULA, a_full_class

LINE = BenchPlanLine(
    2,
    shot_mass_kg=Decimal("0.3400"),
    tube_length_m=Decimal("1.01"),
    end_allowance_m=Decimal("0.052"),
    inversions=60,
    second_inversions=30,
    start_temperature_C=Decimal("18.5"),
    thermometer_step_K=Decimal("0.2"),
    ice_point_C=Decimal("-0.30"),
)


@dataclass
class Written:
    """A full class's tables in a folder, with what they were made of."""

    one: AClass
    whole: WholePractical
    folder: Path

    def rows(self, name: str) -> list[dict[str, str]]:
        """A table as plain CSV readers have it."""
        text = (self.folder / f"{name}.csv").read_text(encoding="utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))


@pytest.fixture
def written(database: Database, tmp_path: Path) -> Written:
    one = a_full_class(database, bore_m=Decimal("0.045"), reading_sd_K=Decimal("0.05"), bench_plans=(LINE,))
    whole = whole_practical(database, actor=one.teacher, practical_id=one.practical_id)
    result = class_snapshot(database, one.practical_id, actor=one.teacher).result
    assert result is not None
    kept = KeptFigures(as_plain_data(result), 3)
    for table in TABLES:
        text = CsvText(table)
        (tmp_path / file_of(table)).write_bytes(text.heading() + text.rows(rows_of(table, whole, kept)))
    found = metadata(TABLES, {table.name: file_of(table) for table in TABLES})
    (tmp_path / METADATA).write_text(json.dumps(found), encoding="utf-8")
    return Written(one, whole, tmp_path)


def test_the_tables_agree_with_their_metadata(written: Written) -> None:
    assert csvw.CSVW(str(written.folder / METADATA), validate=True).is_valid
    group = csvw.TableGroup.from_file(written.folder / METADATA)
    assert group.check_referential_integrity()
    runs = {(row["bench"], row["run"]): row for row in group.tabledict["runs.csv"]}
    run = runs[2, 1]
    assert (run["start_temperature_C"], run["start_temperature_typed"]) == (Decimal("-9.81"), "-9.81")
    assert (run["room_temperature_C"], run["room_temperature_unit"]) == (Decimal("20.28"), "°F")
    assert run["held_on"].date() == date(2031, 3, 6)
    assert (run["first_sent_at"], run["set_aside"], runs[5, 1]["set_aside"]) == (NOW, None, True)


def test_a_file_that_does_not_agree_is_found_by_the_same_library(written: Written) -> None:
    """So that the check before is one that can fail."""
    table = written.folder / "runs.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("-9.81,", "cold,"), encoding="utf-8")
    group = csvw.TableGroup.from_file(written.folder / METADATA)
    with pytest.raises(ValueError, match="invalid lexical value for decimal: cold"):
        list(group.tabledict["runs.csv"].iterdicts(strict=True))


def test_every_measured_column_has_a_unit_and_every_column_a_meaning(written: Written) -> None:
    """Codes as The Unified Code for Units of Measure has them (version 2.2): g, cm, Cel, J/(kg.K), m/s2."""
    found: dict[str, Any] = {}
    for table in json.loads((written.folder / METADATA).read_text(encoding="utf-8"))["tables"]:
        for column in table["tableSchema"]["columns"]:
            assert column["dc:description"], column["name"]
            assert column["datatype"] != "decimal" or column[UCUM_CODE] in UCUM.values(), column["name"]
            found[column["name"]] = column.get(UCUM_CODE)
    assert found["shot_mass_g"] == "g"
    assert found["tube_length_cm"] == "cm"
    assert found["start_temperature_C"] == "Cel"
    assert found["apparent_heat_capacity_J_per_kg_K"] == "J/(kg.K)"
    assert found["gravity_m_per_s2"] == "m/s2"
    assert found["title"] is None


def test_a_cell_that_is_always_filled_is_required() -> None:
    needed = {
        table["url"]: [one["name"] for one in table["tableSchema"]["columns"] if one.get("required")]
        for table in metadata((KIT, RUNS), {KIT.name: "kit.csv", RUNS.name: "runs.csv"})["tables"]
    }
    assert needed == {
        "kit.csv": ["label", "kind"],
        "runs.csv": [
            "bench",
            "run",
            "shot_mass_g",
            "tube_length_cm",
            "end_allowance_cm",
            "inversions",
            "start_temperature_C",
            "end_temperature_C",
            "practical_key",
            "held_on",
            "title",
            "run_key",
            "practical_state",
            "material",
            "accepted_J_per_kg_K",
            "gravity_m_per_s2",
        ],
    }


def test_a_row_needs_nothing_beside_it(written: Written) -> None:
    runs = written.rows("runs")
    assert list(runs[0])[: len(COLUMNS)] == list(COLUMNS)
    assert len(runs) == 4
    corrected = next(run for run in runs if run["correction_reason"])
    assert corrected == corrected | {
        "practical_key": document(written.whole, "")["key"],
        "held_on": "2031-03-06",
        "material": "lead",
        "accepted_J_per_kg_K": "128",
        "accepted_temperature_C": "25",
        "gravity_m_per_s2": "9.80665",
        "u_gravity_m_per_s2": "0.0005",
        "class_room_temperature_C": "20.5",
        "shot_mass_g": "350",
        "shot_mass_typed": "350 g",
        "shot_mass_unit": "g",
        "versions": "2",
        "set_aside": "yes",
        "decided_at": NOW.isoformat(),
        "analysis_version": "3",
    }
    own = next(run for run in runs if run["own_value_typed"])
    assert own == own | {
        "own_value_J_per_kg_K": "-130",
        "planned_shot_mass_g": "340",
        "planned_tube_length_cm": "101",
        "planned_inversions": "60",
        "class_thermometer_step_K": "0.1",
        "thermometer_step_K": "0.2",
        "ice_point_C": "-0.3",
        "length_sd_m": "0.002",
        "reading_sd_K": "0.05",
    }
    assert datetime.fromisoformat(own["first_sent_at"]) == NOW.astimezone(UTC)


def test_every_row_has_a_cell_for_each_column(written: Written) -> None:
    for table in TABLES:
        text = (written.folder / file_of(table)).read_text(encoding="utf-8-sig")
        heading, *rows = csv.reader(io.StringIO(text, newline=""))
        assert rows or table is KIT, table.name  # this class has none
        assert [len(row) for row in rows] == [len(heading)] * len(rows), table.name


def test_every_decision_is_in_the_second_table(written: Written) -> None:
    decisions = written.rows("decisions")
    keys = {run["run_key"] for run in written.rows("runs")}
    assert [(row["decision"], row["run_version"], row["run_revision"]) for row in decisions] == [
        ("set aside", "1", "2"), ("counted", "1", "3"), ("set aside", "2", "3")
    ]  # fmt: skip
    assert {row["run_key"] for row in decisions} <= keys
    assert {row["decided_by"] for row in decisions} == {written.one.teacher.name}


def test_no_text_of_a_person_begins_a_formula_in_any_table(written: Written) -> None:
    seen = 0
    for table in TABLES:
        numbers = {column.name for column in table.columns if column.kind is not Kind.TEXT}
        for row in written.rows(table.name):
            for name, cell in row.items():
                bare = cell.lstrip(" \"'\t")
                if bare[:1] in ("=", "+", "-", "@") and name not in numbers:
                    if NUMBER.fullmatch(bare):
                        continue  # −9.81 as typed is a number for a spreadsheet too
                    seen += 1
                    assert cell.lstrip()[0] == "'", (table.name, name, cell)
    assert seen > 10
    assert f"'{FORMULA} Year 10" in {run["title"] for run in written.rows("runs")}


def test_bench_and_result_stand_beside_the_runs(written: Written) -> None:
    first, second = written.rows("benches")
    assert first == first | {
        "bench": "2",
        "joined_at": NOW.isoformat(),
        "runs": "2",
        "runs_set_aside": "0",
        "runs_waiting": "0",
        "planned_shot_mass_kg": "0.34",
        "planned_tube_length_m": "1.01",
        "planned_end_allowance_m": "0.052",
        "planned_inversions": "60",
        "planned_start_temperature_C": "18.5",
        "thermometer_step_K": "0.2",
        "ice_point_C": "-0.3",
        "mean_mass_kg": "0.3405",
        "analysis_version": "3",
    }
    assert (second["bench"], second["runs_set_aside"], second["planned_inversions"]) == ("5", "1", "")
    (result,) = written.rows("results")
    assert result["counted_runs"] == "3"
    assert float(result["percent_error"]) == pytest.approx(
        100 * (float(result["class_value_J_per_kg_K"]) / 128 - 1), rel=1e-6
    )


def test_a_practical_stands_in_one_row_with_what_was_planned(written: Written) -> None:
    (row,) = written.rows("practicals")
    del row["practical_key"], row["revision"]
    assert row == dict.fromkeys(row, "") | {
        "title": f"'{FORMULA} Year 10",
        "held_on": "2031-03-06",
        "department": "Physics",
        "teacher": written.one.teacher.name,
        "practical_state": "collecting",
        "material": "lead",
        "accepted_J_per_kg_K": "128",
        "accepted_source": "'@SUM(1) handbook",
        "accepted_temperature_C": "25",
        "gravity_m_per_s2": "9.80665",
        "u_gravity_m_per_s2": "0.0005",
        "class_thermometer_step_K": "0.1",
        "length_sd_m": "0.002",
        "reading_sd_K": "0.05",
        "room_temperature_C": "20.5",
        "tube_length_m": "1",
        "end_allowance_m": "0.05",
        "bore_m": "0.045",
        "inversions": "50",
        "planned_benches": "12",
        "planned_at": NOW.isoformat(),
        "opened_at": NOW.isoformat(),
    }


def test_a_result_without_a_class_value_still_has_the_accepted_one(written: Written) -> None:
    none = dict.fromkeys(
        (
            *("repeatability_sd", "between_bench_sd", "reproducibility_sd", "heat_capacity_J_per_kg_K"),
            *("interval_95", "heat_sink_J_per_K", "heat_sink_interval_95"),
        )
    )
    kept = KeptFigures({"class_value": None, "spread": none, "separated": none}, 3)
    (row,) = rows_of(RESULTS, written.whole, kept)
    cells = {name: cell for name, cell in zip(RESULTS.names, row, strict=True) if cell is not None}
    assert (cells["accepted_J_per_kg_K"], cells["analysis_version"]) == ("128", 3)
    assert list(cells)[3:] == ["accepted_J_per_kg_K", "analysis_version"], "beside whose they are"


def test_without_a_kept_result_its_columns_are_empty(written: Written) -> None:
    (row, *_) = rows_of(RUNS, written.whole, None)
    cells = dict(zip(RUNS.names, row, strict=True))
    assert cells["standard_uncertainty_J_per_kg_K"] is cells["flags"] is cells["analysis_version"] is None
    assert float(str(cells["apparent_heat_capacity_J_per_kg_K"])) > 0
