"""Caps and settled depth in a run table: the two parts of the end allowance."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.exports.run_table import run_cells
from app.exports.table_text import RunTableProblem
from tests.run_tables import read_run_table

HEADER = "bench,shot_mass_g,tube_length_cm,inversions,start_temperature_C,end_temperature_C"


def _read(columns: str, cells: str) -> tuple[float, float | None, float | None]:
    (run,) = read_run_table(f"{HEADER},{columns}\n1,340,100,50,19.2,21.4,{cells}\n")
    return run.end_allowance_m, run.caps_m, run.settled_depth_m


def test_the_parts_make_the_allowance_where_it_is_left_out() -> None:
    assert _read("caps_cm,settled_depth_cm", "2,5.2") == (0.072, 0.02, 0.052)
    assert _read("caps_cm,settled_depth_cm,end_allowance_cm", "2,5.2,") == (0.072, 0.02, 0.052)
    assert _read("caps_cm,settled_depth_cm,end_allowance_cm", ",,6") == (0.06, None, None)
    assert _read("caps_cm,settled_depth_cm", ",") == (0.0, None, None)


def test_they_agree_with_a_given_allowance_to_a_millimetre() -> None:
    columns = "caps_cm,settled_depth_cm,end_allowance_cm"
    assert _read(columns, "2,5.2,7.3")[0] == 0.073
    assert _read(columns, "2,5.2,7.1")[0] == 0.071
    with pytest.raises(RunTableProblem, match=r"Row 2, column end_allowance_cm: .* make 7\.2 cm, not 7\.31"):
        _read(columns, "2,5.2,7.31")
    with pytest.raises(RunTableProblem, match=r"make 7\.20018 cm, not 8\.00006 cm"):
        _read(columns, "2.00011,5.200067,8.000056")


def test_one_part_alone_needs_the_allowance() -> None:
    columns = "caps_cm,settled_depth_cm,end_allowance_cm"
    assert _read(columns, "2,,7.2") == (0.072, 0.02, None)
    with pytest.raises(RunTableProblem, match="Row 2, column settled_depth_cm: a number is missing"):
        _read(columns, "2,,")
    with pytest.raises(RunTableProblem, match="Row 2, column caps_cm: a number is missing"):
        _read("settled_depth_cm", "5.2")


def test_a_benchs_own_thermometer_step_goes_out_and_in() -> None:
    (run,) = read_run_table(f"{HEADER},thermometer_step_K\n1,340,100,50,19.2,21.4,0.5\n")
    assert run.thermometer_step_K == 0.5
    assert run_cells(run)["thermometer_step_K"] == Decimal("0.5")
    (run,) = read_run_table(f"{HEADER},thermometer_step_K\n1,340,100,50,19.2,21.4,\n")
    assert run.thermometer_step_K is None
    with pytest.raises(RunTableProblem, match="Row 2, column thermometer_step_K: a thermometer's step"):
        read_run_table(f"{HEADER},thermometer_step_K\n1,340,100,50,19.2,21.4,0\n")


def test_an_ice_point_reading_goes_out_and_in() -> None:
    (run,) = read_run_table(HEADER.replace(",", ";") + ";ice_point_C\n1;340;100;50;19,2;21,4;-0,4\n")
    assert run.ice_point_C == -0.4
    assert run_cells(run)["ice_point_C"] == Decimal("-0.4")
    (run,) = read_run_table(f"{HEADER},ice_point_C\n1,340,100,50,19.2,21.4,0\n")
    assert run.ice_point_C == 0.0, "a reading of 0 is a reading"
    for empty in (f"{HEADER},ice_point_C\n1,340,100,50,19.2,21.4,\n", f"{HEADER}\n1,340,100,50,19.2,21.4\n"):
        (run,) = read_run_table(empty)
        assert run.ice_point_C is None
    for typed in ("21", "-5.1"):
        with pytest.raises(RunTableProblem, match="Row 2, column ice_point_C: in melting ice a thermometer"):
            read_run_table(f"{HEADER},ice_point_C\n1,340,100,50,19.2,21.4,{typed}\n")
