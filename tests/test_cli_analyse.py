"""`plumbfall analyse` as a user meets it: a result, or one clear line and exit status 2.

In this process, but for one result and one refusal that go through a shell's own streams.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from statistics import stdev

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.views.json import as_plain_data
from app.exports import run_table
from app.exports.run_table import LARGEST_BYTES
from app.physics.materials import u_accepted_J_per_kg_K
from tests.analysis.classes import LEAD, MASSES_KG, perfect_runs, simulated_runs
from tests.commands import ROOT, Done, by_shell, called
from tests.run_tables import read_run_table, write_run_table

HEADER = "bench,shot_mass_g,tube_length_cm,inversions,start_temperature_C,end_temperature_C\n"
ROW = "1,500,100,50,20.0,22.1\n"


def analyse(*arguments: str, stdin: bytes = b"") -> Done:
    """The command, called."""
    return called(ROOT, "analyse", *arguments, typed=stdin)


def one_line(done: Done) -> str:
    """The error line of a refused table."""
    assert done.returncode == 2, done.stderr
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith("plumbfall: ")
    return done.stderr


def test_a_shell_hands_over_bytes_and_gets_a_result_or_one_line() -> None:
    text = (HEADER + ROW).replace(",", ";").replace("22.1", "22,1").replace("20.0", "20,0")
    done = by_shell(ROOT, "analyse", "-", "--json", typed=b"\xef\xbb\xbf" + text.encode())
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["runs"][0]["warming_K"] == pytest.approx(2.1)
    refused = by_shell(ROOT, "analyse", "-", typed=(HEADER + ROW).encode() + b"B\xe9n,500,100,50,20,22\n")
    assert "Row 3 is not UTF-8 text (byte 0xE9)" in one_line(refused)


def test_the_json_has_the_rooms_temperature_and_that_of_a_run_with_its_own() -> None:
    table = (
        HEADER.replace("\n", ",room_temperature_C\n") + "1,500,100,50,20.0,22.1,\n2,500,100,50,20.0,22.1,23\n"
    )
    found = json.loads(analyse("-", "--json", "--room-temperature", "21.5", stdin=table.encode()).stdout)
    assert found["room_temperature_C"] == 21.5
    assert [run["room_temperature_C"] for run in found["runs"]] == [None, 23.0]
    assert json.loads(analyse("-", "--json", stdin=table.encode()).stdout)["room_temperature_C"] is None


def test_the_json_of_a_class_without_error_says_what_was_put_in(tmp_path: Path) -> None:
    """m·e = (m·c + C)·w with c = 127.4, C = 45: c* = c + C/m, and the class value is k/Σ 1/c*.

    All runs fall equally far, so the line through the origin has about the mean of 1/c* as its slope.
    """
    table = tmp_path / "runs.csv"
    table.write_text(write_run_table(perfect_runs()), encoding="utf-8")
    done = analyse(str(table), "--accepted", "130", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["format"] == "plumbfall-analysis/1"
    energy, apparent = 9.80665 * 0.92 * 50, [127.4 + 45 / mass for mass in MASSES_KG * 3]
    assert [(run["bench"], run["run"]) for run in found["runs"][:4]] == [
        ("1", "1"), ("1", "2"), ("1", "3"), ("2", "1"),
    ]  # fmt: skip
    for place, run in enumerate(found["runs"]):
        own = apparent[place // 3]
        assert run["fall_m"] == pytest.approx(0.92)
        assert run["specific_energy_J_per_kg"] == pytest.approx(energy)
        assert run["warming_K"] == pytest.approx(energy / own)
        assert run["apparent_heat_capacity_J_per_kg_K"] == pytest.approx(own)
        shares, u = run["budget_J_per_kg_K"], run["standard_uncertainty_J_per_kg_K"]
        assert sum(share**2 for share in shares.values()) == pytest.approx(u**2)
        low, high = run["interval_95"]
        assert low < own < high
        assert (run["flags"], run["suspected_slip"], run["set_aside"]) == ([], None, False)
    value = found["class_value"]
    of_class = 12 / sum(1 / own for own in apparent)
    assert value["apparent_heat_capacity_J_per_kg_K"] == pytest.approx(of_class, rel=2e-3)
    assert (value["runs"], value["benches"], value["accepted_J_per_kg_K"]) == (36, 12, 130)
    assert value["percent_error"] == pytest.approx(
        100 * (value["apparent_heat_capacity_J_per_kg_K"] / 130 - 1)
    )
    low, high = value["interval_95"]
    assert value["percent_error_interval"] == pytest.approx([100 * (low / 130 - 1), 100 * (high / 130 - 1)])
    assert low < of_class < high
    assert value["accepted_inside_interval"] is (low <= 130 <= high) is False
    assert found["class_value_without_flagged"] == value
    apart = found["separated"]
    assert apart["identifiable"] is True
    assert apart["heat_capacity_J_per_kg_K"] == pytest.approx(127.4, rel=0.02)
    assert apart["heat_sink_J_per_K"] == pytest.approx(45, rel=0.03)
    assert apart["percent_error"] == pytest.approx(100 * (apart["heat_capacity_J_per_kg_K"] / 130 - 1))
    assert apart["model_choice"] is None, "a released key: there is one model"
    assert apart["heat_leak_J_per_K_per_inversion"] is None
    assert "No room temperature" in apart["heat_leak_absent_because"]
    assert sum(line["share_of_variance"] for line in found["class_budget"]) == pytest.approx(1)
    assert apart["interval_95"][0] < 127.4 < apart["interval_95"][1]
    assert apart["heat_sink_interval_95"][0] < 45 < apart["heat_sink_interval_95"][1]
    assert found["spread"]["repeatability_sd"] == pytest.approx(0, abs=1e-6)
    # Every bench repeats itself exactly, so what differs between benches is the sample's deviation of c*.
    assert found["spread"]["between_bench_sd"] == pytest.approx(stdev(apparent))
    assert found["spread"]["reproducibility_sd"] == pytest.approx(stdev(apparent))
    line = found["line"]
    # The falls have an uncertainty too, and what the benches differ by beyond it tilts the line a little.
    assert line["slope_K_kg_per_J"] == pytest.approx(1 / of_class, rel=1e-3)
    assert line["apparent_heat_capacity_J_per_kg_K"] == pytest.approx(1 / line["slope_K_kg_per_J"])
    assert line["offset_K"] is None, "with one energy there is no second unknown"
    for place, point in enumerate(line["points"]):
        residual = energy / apparent[place // 3] - energy * line["slope_K_kg_per_J"]
        assert point["residual_K"] == pytest.approx(residual, abs=1e-6)
        assert point["leverage"] == pytest.approx(1 / 36)
    ledger = found["heat_ledger"]
    assert ledger["shot"] + ledger["heat_sink"] + ledger["unaccounted"] == pytest.approx(1)
    (warning,) = found["warnings"]
    assert warning.startswith("The benches took the same end allowance (8.0 cm) for 240 to 880 g of shot.")


def test_the_table_gives_back_the_result_of_the_runs_it_was_written_from(tmp_path: Path) -> None:
    """To the last digit, with the accepted value's own uncertainty where it is the table's."""
    table, runs = tmp_path / "runs.csv", simulated_runs(3)
    table.write_text(write_run_table(runs), encoding="utf-8")
    found = json.loads(analyse(str(table), "--accepted", "127.4", "--json").stdout)
    table_value = replace(LEAD, u_accepted_J_per_kg_K=u_accepted_J_per_kg_K("lead", 127.4))
    assert found == json.loads(json.dumps(as_plain_data(analyse_class(runs, table_value))))


def test_a_summary_is_printed_without_json() -> None:
    done = analyse("-", stdin=write_run_table(perfect_runs()).encode())
    text = done.stdout
    assert done.returncode == 0
    assert "Class value (benches: 12, runs: 36)" in text
    said = re.search(r"specific heat capacity of the shot ([0-9.]+) J", text)
    assert said is not None
    assert float(said[1]) == pytest.approx(127.4, rel=0.02)


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
        *(
            (
                HEADER.replace("\n", ",set_aside\n").encode()
                + f"1,500,100,50,20.0,22.1,{neither}\n".encode(),
                "Row 2, column set_aside: write yes, or leave it empty",
            )
            for neither in ("maybe", "y", "2", "-")
        ),
    ],
)
def test_a_table_that_cannot_be_read_gets_one_line_that_says_where(table: bytes, words: str) -> None:
    assert words in one_line(analyse("-", stdin=table))


@pytest.mark.parametrize(
    ("cell", "aside"),
    [
        *((cell, True) for cell in ("yes", "YES", "true", "1", "x")),
        *((cell, False) for cell in ("", "no", "False", "0")),
    ],
)
def test_a_run_is_set_aside_by_the_words_for_yes(cell: str, aside: bool) -> None:
    (run,) = read_run_table(HEADER.replace("\n", ",set_aside\n") + ROW.replace("\n", f",{cell}\n"))
    assert run.set_aside is aside


def test_the_json_names_each_suspected_slip_and_none_elsewhere(tmp_path: Path) -> None:
    runs = [replace(run, end_temperature_C=round(run.end_temperature_C, 1)) for run in perfect_runs()]
    runs[0] = replace(runs[0], shot_mass_kg=0.00024)
    table = tmp_path / "runs.csv"
    table.write_text(write_run_table(runs), encoding="utf-8")
    found = json.loads(analyse(str(table), "--json").stdout)["runs"]
    slip = found[0]["suspected_slip"]
    assert (slip["slip"], slip["field"]) == ("mass-unit", "shot_mass_g")
    assert slip["as_entered"] == pytest.approx(0.24)
    assert slip["corrected"] == pytest.approx(240.0)
    # c* = g·h·N/ΔT of the corrected run: the mass is not in it.
    assert slip["apparent_heat_capacity_J_per_kg_K"] == pytest.approx(9.80665 * 0.92 * 50 / 1.4)
    assert slip["sentence"].startswith("Perhaps")
    assert [run["suspected_slip"] for run in found[1:]] == [None] * 35


def test_a_missing_file_gets_one_line(tmp_path: Path) -> None:
    assert "No such file" in one_line(analyse(str(tmp_path / "none.csv")))
    assert "cannot be read" in one_line(analyse(str(tmp_path)))


def test_a_file_of_200_megabytes_is_refused_without_being_read_whole(tmp_path: Path) -> None:
    table = tmp_path / "huge.csv"
    with table.open("wb") as file:
        file.truncate(200 * 1024 * 1024)
    assert str(LARGEST_BYTES // 1024**2) + " MB" in one_line(analyse(str(table)))


def test_a_table_that_is_typed_in_is_read_no_further_than_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    table = (HEADER + ROW).encode()
    monkeypatch.setattr(run_table, "LARGEST_BYTES", len(table))
    assert analyse("-", stdin=table).returncode == 0
    assert "This file is larger than" in one_line(analyse("-", stdin=table + b"\n"))


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
        "".join(f"{i % 300},{300 + i % 7 * 80},100,50,20,22.{i % 7}\n" for i in range(600)),
        "1,1e308,1e308,1e308,1e308,-1e308\n" + ROW * 5,
        "1,0,0,0,0,0\n",
    ],
    ids=[
        "one row",
        "one bench, same label",
        "all equal",
        "no warming",
        "three hundred benches",
        "1e308",
        "zeros",
    ],
)
def test_an_odd_class_gets_an_honest_result_with_warnings(rows: str) -> None:
    done = analyse("-", "--json", stdin=(HEADER + rows).encode())
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    found = json.loads(done.stdout, parse_constant=lambda name: pytest.fail(f"{name} in the output"))
    assert len(found["runs"]) == rows.count("\n")
    assert found["warnings"] or found["class_value"]["interval_95"]
    assert analyse("-", stdin=(HEADER + rows).encode()).returncode == 0


def test_a_run_whose_interval_has_no_upper_end_says_so_in_words_and_in_json(tmp_path: Path) -> None:
    table = tmp_path / "coarse.csv"
    table.write_text(HEADER + "1,500,100,50,20.0,20.1\n2,500,100,50,20.0,22.1\n", encoding="utf-8")
    coarse = ("--thermometer-step", "1")
    text = analyse(str(table), *coarse).stdout.split("bench 2")[0]
    assert "The warming is too small for this thermometer" in text
    first, second = json.loads(analyse(str(table), *coarse, "--json").stdout)["runs"]
    assert first["interval_95"] is None
    assert "no upper end" in first["interval_absent_because"]
    assert second["interval_absent_because"] is None
