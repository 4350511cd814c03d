"""The options of `analyse`: what each takes and refuses, and that the help says what stands without it."""

from __future__ import annotations

import re
from typing import Any

import click
import pytest
from click.testing import CliRunner

from app.cli_analyse import _settings, analyse
from app.cli_records import add_teacher, set_head

MAY_BE_ZERO = (
    "gravity-sd",
    "thermometer-step",
    "reading-sd",
    "length-sd",
    "thermometer-scale",
    "common-technique",
)
POSITIVE = ("accepted", "gravity")


def parsed(*arguments: str) -> dict[str, Any]:
    return analyse.make_context("analyse", ["runs.csv", *arguments]).params


@pytest.mark.parametrize("option", [*MAY_BE_ZERO, *POSITIVE])
def test_a_number_is_read_with_either_mark_up_to_a_thousand_million(option: str) -> None:
    name = option.replace("-", "_")
    for text, value in (("9,81", 9.81), ("0.5", 0.5), ("1e9", 1e9)):
        assert parsed(f"--{option}", text)[name] == value
    for text in ("1.1e9", "-0.1", "inf", "nan"):
        with pytest.raises(click.BadParameter, match="above zero"):
            parsed(f"--{option}", text)
    with pytest.raises(click.BadParameter, match="much is not a number"):
        parsed(f"--{option}", "much")


@pytest.mark.parametrize("option", MAY_BE_ZERO)
def test_an_uncertainty_or_a_step_may_be_zero(option: str) -> None:
    assert parsed(f"--{option}", "0")[option.replace("-", "_")] == 0.0


@pytest.mark.parametrize("option", POSITIVE)
def test_an_accepted_value_and_g_may_not(option: str) -> None:
    with pytest.raises(click.BadParameter, match="0 must be above zero"):
        parsed(f"--{option}", "0")


def test_without_options_the_kit_is_a_usual_one_and_the_help_says_so() -> None:
    """Standard gravity (3rd CGPM, 1901); lead, read to a tenth of a degree, a fall known to 2 mm."""
    given, settings = parsed(), _settings({}, {}, "en")
    usual = {"thermometer_scale": 0.005, "common_technique": 0.01}
    assert {name: given[name] for name in usual} == usual
    from_table = {
        "material": (settings.material, "lead"),
        "gravity": (settings.gravity_m_per_s2, 9.80665),
        "gravity_sd": (settings.u_gravity_m_per_s2, 0.0),
        "thermometer_step": (settings.thermometer_step_K, 0.1),
        "reading_sd": (settings.reading_sd_K, 0.0),
        "length_sd": (settings.length_sd_m, 0.002),
    }
    for name, (taken, value) in from_table.items():
        assert (given[name], taken) == (None, value), name
    assert given["accepted"] is given["room_temperature"] is None
    assert given["as_json"] is False
    assert parsed("--json")["as_json"] is True
    text = " ".join(CliRunner().invoke(analyse, ["--help"]).output.split())
    said = usual | {name: f"(from the table, else {value})" for name, (_, value) in from_table.items()}
    for name, value in said.items():
        assert re.search(rf"--{name.replace('_', '-')} [^[]*\[default: {re.escape(str(value))}\]", text), name


def test_a_metal_that_is_given_leaves_the_tables_value_and_says_where_the_new_one_is_from() -> None:
    of_table: dict[str, float | str] = {
        "material": "lead",
        "accepted_J_per_kg_K": 127.0,
        "accepted_source": "our data book",
    }
    kept, typed = _settings(of_table, {}, "en"), _settings(of_table, {"accepted_J_per_kg_K": 128.0}, "en")
    assert (kept.accepted_J_per_kg_K, kept.accepted_source) == (127.0, "our data book")
    assert (typed.accepted_J_per_kg_K, typed.accepted_source) == (128.0, "given by hand")
    other = _settings(of_table, {"material": "copper"}, "en")
    assert other.accepted_J_per_kg_K == pytest.approx(24.4 / 63.546 * 1000, abs=0.05)  # CRC Handbook
    assert other.accepted_source.startswith("CRC Handbook")
    with pytest.raises(
        click.UsageError, match=r"cheese is not in the table \(lead, copper, .*with --accepted"
    ):
        _settings(of_table, {"material": "cheese"}, "en")


def test_the_switches_of_the_commands_about_records_are_off_unless_given() -> None:
    named = ["x", "--name", "X", "--password", "three plain words"]
    assert add_teacher.make_context("add-teacher", list(named)).params["head"] is False
    assert add_teacher.make_context("add-teacher", [*named, "--head"]).params["head"] is True
    with pytest.raises(click.MissingParameter, match="name"):
        add_teacher.make_context("add-teacher", ["x", "--password", "three plain words"])
    assert set_head.make_context("set-head", ["x"]).params["no_longer"] is False
    assert set_head.make_context("set-head", ["x", "--no-longer"]).params["no_longer"] is True
