"""`plumbfall analyse` as a user meets it: a result, or one clear line and exit status 2."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.json_form import as_contract
from app.exports.run_table import LARGEST_BYTES, write_run_table
from app.physics.materials import u_accepted_J_per_kg_K
from tests.analysis.classes import LEAD, perfect_runs, simulated_runs

ROOT = Path(__file__).resolve().parents[1]
HEADER = "bench,shot_mass_g,tube_length_cm,inversions,start_temperature_C,end_temperature_C\n"
ROW = "1,500,100,50,20.0,22.1\n"


def analyse(*arguments: str, stdin: bytes | None = None) -> subprocess.CompletedProcess[bytes]:
    """Runs the command in a process of its own, as a shell would."""
    code = "from app.cli import main; main()"
    return subprocess.run(
        [sys.executable, "-c", code, "analyse", *arguments], input=stdin, capture_output=True, cwd=ROOT
    )


def one_line(done: subprocess.CompletedProcess[bytes]) -> str:
    """The error line of a refused table."""
    text = done.stderr.decode()
    assert done.returncode == 2, text
    assert done.stdout == b""
    assert len(text.strip().splitlines()) == 1
    assert "Traceback" not in text
    return text


def test_json_has_every_key_of_the_contract(tmp_path: Path) -> None:
    table = tmp_path / "runs.csv"
    runs = simulated_runs(3)
    table.write_text(write_run_table(runs), encoding="utf-8")
    done = analyse(str(table), "--accepted", "127.4", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["format"] == "plumbfall-analysis/1"
    assert set(found) >= {
        "runs", "class_value", "class_value_without_flagged", "spread", "separated", "warnings",
    }  # fmt: skip
    assert set(found["runs"][0]) >= {
        "bench", "run", "fall_m", "specific_energy_J_per_kg", "warming_K", "flags", "suspected_slip",
        "apparent_heat_capacity_J_per_kg_K", "standard_uncertainty_J_per_kg_K",
    }  # fmt: skip
    assert set(found["class_value"]) >= {
        "apparent_heat_capacity_J_per_kg_K", "interval_95", "method", "runs", "benches", "percent_error",
        "accepted_J_per_kg_K", "accepted_inside_interval",
    }  # fmt: skip
    assert set(found["separated"]) >= {
        "identifiable", "reason", "heat_capacity_J_per_kg_K", "interval_95", "heat_sink_J_per_K",
        "heat_sink_interval_95", "percent_error",
    }  # fmt: skip
    assert set(found["spread"]) >= {"repeatability_sd", "between_bench_sd", "reproducibility_sd"}
    shares = found["runs"][0]["budget_J_per_kg_K"]
    u = found["runs"][0]["standard_uncertainty_J_per_kg_K"]
    assert sum(share**2 for share in shares.values()) == pytest.approx(u**2)
    assert set(found["line"]) >= {"slope_K_kg_per_J", "offset_K", "robust_slope_K_kg_per_J", "points"}
    assert set(found["line"]["points"][0]) >= {
        "residual_K", "leverage", "cooks_distance", "studentized_residual",
    }  # fmt: skip
    # The table gives back the same numbers as the runs it was written from, to the last digit.
    table_value = replace(LEAD, u_accepted_J_per_kg_K=u_accepted_J_per_kg_K("lead", 127.4))
    assert found == json.loads(json.dumps(as_contract(analyse_class(runs, table_value))))


def test_a_summary_is_printed_without_json() -> None:
    done = analyse("-", stdin=write_run_table(perfect_runs()).encode())
    text = done.stdout.decode()
    assert done.returncode == 0
    assert "Class value (benches: 12, runs: 36)" in text
    assert "specific heat capacity of the shot 127.4" in text


def test_semicolons_with_decimal_commas_are_read() -> None:
    text = (HEADER + ROW).replace(",", ";").replace("22.1", "22,1").replace("20.0", "20,0")
    done = analyse("-", "--json", stdin=b"\xef\xbb\xbf" + text.encode())
    assert json.loads(done.stdout)["runs"][0]["warming_K"] == pytest.approx(2.1)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (b"", "empty"),
        (HEADER.encode(), "no runs below it"),
        (HEADER.replace("inversions,", "").encode() + ROW.encode(), "no column inversions"),
        ((HEADER + ROW.replace("22.1", "nan")).encode(), "Row 2, column end_temperature_C: “nan”"),
        ((HEADER + ROW.replace("22.1", "")).encode(), "Row 2, column end_temperature_C: a number is missing"),
        ((HEADER + ROW.replace("500", "1e400")).encode(), "Row 2, column shot_mass_g"),
        ((HEADER + ROW + ROW.replace("1,", ",", 1)).encode(), "Row 3, column bench"),
        ((HEADER + ROW).encode() + b"B\xe9n,500,100,50,20,22\n", "Row 3 is not UTF-8 text (byte 0xE9)"),
        (
            (HEADER + ROW.replace("22.1", "22,1")).encode(),
            "(fields: 7, header: 6)",
        ),
        (b"\x00\x01\x02\xff" * 100, "not UTF-8"),
    ],
)
def test_a_table_that_cannot_be_read_gets_one_line_that_says_where(table: bytes, words: str) -> None:
    assert words in one_line(analyse("-", stdin=table))


def test_a_missing_file_gets_one_line(tmp_path: Path) -> None:
    assert "No such file" in one_line(analyse(str(tmp_path / "none.csv")))
    assert "cannot be read" in one_line(analyse(str(tmp_path)))


def test_a_file_of_200_megabytes_is_refused_without_being_read_whole(tmp_path: Path) -> None:
    table = tmp_path / "huge.csv"
    with table.open("wb") as file:
        file.truncate(200 * 1024 * 1024)
    assert str(LARGEST_BYTES // 1024**2) + " MB" in one_line(analyse(str(table)))


def test_an_unknown_metal_gets_the_names_of_the_known_ones() -> None:
    line = one_line(analyse("-", "--material", "cheese", stdin=(HEADER + ROW).encode()))
    assert "cheese" in line
    assert "copper" in line


@pytest.mark.parametrize(
    "rows",
    [
        ROW,
        ROW * 6,
        "".join(f"{i},500,100,50,20,22.1\n" for i in range(8)),
        "".join(f"{i},500,100,50,20,20\n" for i in range(8)),
        "".join(f"{i % 1000},{300 + i % 7 * 80},100,50,20,22.{i % 7}\n" for i in range(2000)),
        "1,1e308,1e308,1e308,1e308,-1e308\n" + ROW * 5,
        "1,0,0,0,0,0\n",
    ],
    ids=[
        "one row",
        "one bench, same label",
        "all equal",
        "no warming",
        "a thousand benches",
        "1e308",
        "zeros",
    ],
)
def test_an_odd_class_gets_an_honest_result_with_warnings(rows: str) -> None:
    done = analyse("-", "--json", stdin=(HEADER + rows).encode())
    assert done.returncode == 0, done.stderr
    assert done.stderr == b""
    found = json.loads(done.stdout, parse_constant=lambda name: pytest.fail(f"{name} in the output"))
    assert len(found["runs"]) == rows.count("\n")
    assert found["warnings"] or found["class_value"]["interval_95"]
    assert analyse("-", stdin=(HEADER + rows).encode()).returncode == 0


def test_a_run_whose_interval_has_no_upper_end_says_so_in_words_and_in_json(tmp_path: Path) -> None:
    table = tmp_path / "coarse.csv"
    table.write_text(HEADER + "1,500,100,50,20.0,20.1\n2,500,100,50,20.0,22.1\n", encoding="utf-8")
    coarse = ("--thermometer-step", "1")
    text = analyse(str(table), *coarse).stdout.decode().split("bench 2")[0]
    assert "The warming is too small for this thermometer" in text
    first, second = json.loads(analyse(str(table), *coarse, "--json").stdout)["runs"]
    assert first["interval_95"] is None
    assert "no upper end" in first["interval_absent_because"]
    assert second["interval_absent_because"] is None
