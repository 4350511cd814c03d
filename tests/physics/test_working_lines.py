"""g, h, N and w on the way to c, each held against the readings: each slip gets its own hint."""

from __future__ import annotations

import pytest

from app.physics.run import Readings
from app.physics.working_lines import LINES, hint_about
from tests.physics.test_working import RUN

STANDARD = 9.80665  # m/s², 3rd CGPM (1901)


def said(line: str, text: str, run: Readings = RUN) -> str:
    hint = hint_about(line, text, run, STANDARD)
    return "" if hint is None else str(hint)


@pytest.mark.parametrize(
    ("line", "text"),
    [
        # 10 N/kg is what Cambridge International 5054/22 (2022) lets pupils use.
        *(("g", text) for text in ("9.81", "9,8", "10", "9.81 m/s²", "9.81 N/kg", "9.81 m s^-2")),
        *(("h", text) for text in ("0.945", "0,945", ".945", "94.5 cm", "945 mm", "0.945 m")),
        *(("N", text) for text in ("50", "50.0", "50 x")),
        *(("w", text) for text in ("3.5", "3,50", "3.53", "3.5 K", "3.5 °C")),
    ],
)
def test_a_right_number_is_right_in_every_usual_writing(line: str, text: str) -> None:
    assert said(line, text) == ""


@pytest.mark.parametrize(
    ("line", "text", "hint"),
    [
        ("g", "1.6", "how strongly the Earth pulls"),
        ("h", "94.5", "metres, because g is in m/s²"),
        ("h", "945", "metres, because g is in m/s²"),
        ("h", "1.0", "Does the shot fall the whole length"),
        ("h", "100", "Does the shot fall the whole length"),
        ("h", "1.055", "was it added?"),
        ("h", "5.5", "How much of the length is left"),
        ("h", "0.7", "less the end allowance"),
        ("h", "0.945 kg", "does not belong to this line"),
        ("N", "1", "N counts every fall"),
        ("N", "25", "once in every half turn"),
        ("N", "100", "once in every half turn"),
        ("N", "51", "count of falls that you sent"),
        ("N", "50.4", "count of falls that you sent"),
        ("w", "-3.5", "Which temperature comes first"),
        ("w", "−3,5", "Which temperature comes first"),
        ("w", "20.5", "That is a temperature"),
        ("w", "24", "That is a temperature"),
        ("w", "44.5", "That is a temperature"),
        ("w", "276.65", "Did you add 273"),
        ("w", "4.5", "END temperature less the START"),
        ("w", "3.5 °F", "does not belong to this line"),
        ("w", "much", "is not a number"),
        ("N", "", "Nothing was typed"),
    ],
)
def test_each_slip_is_named(line: str, text: str, hint: str) -> None:
    assert hint in said(line, text)


def test_a_rounded_length_is_not_taken_for_the_fall() -> None:
    """Half a digit of “1” would be 5 %: as much as the end allowance takes."""
    short = Readings(
        shot_mass_kg=0.3,
        tube_length_m=1.0,
        end_allowance_m=0.04,
        inversions=50,
        start_temperature_C=20.5,
        end_temperature_C=24.0,
    )
    assert "Does the shot fall the whole length" in said("h", "1", short)


@pytest.mark.parametrize("line", LINES)
@pytest.mark.parametrize("text", ["x" * 10_000, "1e999", "\x00", "0", "-0", "9" * 300, "NaN", "∞"])
def test_anything_typed_gets_a_sentence(line: str, text: str) -> None:
    assert said(line, text)
