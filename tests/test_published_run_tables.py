"""Published examples as run tables: `plumbfall analyse` prints what their authors printed."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.reference.published import EXAMPLES, STUDENT_REPORT, Example
from tests.test_cli_analyse import HEADER, analyse


def analysed(rows: str, *options: str) -> dict[str, Any]:
    done = analyse("-", "--json", *options, stdin=(HEADER + rows).encode())
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_a_published_example_comes_out_as_printed(example: Example) -> None:
    row = (example.mass_g, example.fall_cm, example.inversions, example.start_C, example.end_C)
    accepted = example.accepted_J_per_kg_K
    found = analysed(
        f"1,{','.join(row)}\n", "--gravity", example.gravity, "--accepted", accepted,
        "--thermometer-step", example.step_K,
    )  # fmt: skip
    (run,) = found["runs"]
    a_fall = run["specific_energy_J_per_kg"] / int(example.inversions) * float(example.mass_g) / 1000
    half_a_digit = example.energy_digit / 2
    assert a_fall * example.energy_falls == pytest.approx(example.energy_J, abs=half_a_digit + 1e-9)
    assert run["apparent_heat_capacity_J_per_kg_K"] == pytest.approx(example.c_J_per_kg_K, abs=0.5)
    assert (run["flags"], run["suspected_slip"]) == ([], None)
    # The printed c has no decimals: its percent error is known to half a unit over the accepted value.
    printed_error = (example.c_J_per_kg_K / float(accepted) - 1) * 100
    assert found["class_value"]["percent_error"] == pytest.approx(printed_error, abs=50 / float(accepted))


@pytest.mark.parametrize("mass_g", ["50", "200", "1000"])
@pytest.mark.parametrize("benches", ["111", "123", "111222333444"])
def test_no_slip_is_suspected_in_a_students_report_of_chilled_shot(benches: str, mass_g: str) -> None:
    """Source: the student's report, which prints no mass; c* is g·h·N/w by hand, in J/(kg·K)."""
    rows = "".join(
        f"{bench},{mass_g},90,{','.join(STUDENT_REPORT[at % 3])}\n" for at, bench in enumerate(benches)
    )
    found = analysed(rows, "--material", "aluminium")
    values = [run["apparent_heat_capacity_J_per_kg_K"] for run in found["runs"]]
    assert values == pytest.approx([551.6, 929.1, 735.5] * (len(benches) // 3), abs=0.1)
    assert [run["suspected_slip"] for run in found["runs"]] == [None] * len(benches)
