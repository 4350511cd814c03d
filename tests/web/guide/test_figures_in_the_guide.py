"""The figures that the guide's sentences name."""

from __future__ import annotations

from app.web.guide.example import example
from app.web.guide.facts import of_department
from app.web.uploads import LARGEST_BROUGHT_IN


def test_the_guides_example_is_worked_out_as_by_hand() -> None:
    """500 g of lead in a tube of 1 m, 4 cm wide, with 2 cm of caps: 60 turns, a heat sink of 45 J/K.

    It lies 0.5 kg / (0.6 · 11340 kg/m³ · π · (2 cm)²) = 5.85 cm deep, so it falls 0.922 m and gets
    9.80665 m/s² · 0.9215 m · 60 = 542.2 J/kg. c is 26.4 J/(mol·K) / 207.2 g/mol = 127.4 J/(kg·K):
    542.2 / 127.4 K = 4.3 K alone, 542.2 / (127.4 + 45 / 0.5) K = 2.5 K with the sink. It reads
    127.4 + 45 / 0.5, half the shot 127.4 + 45 / 0.25.
    """
    assert example() == {
        "mass": "500",
        "light_mass": "250",
        "fall": "0.922",
        "inversions": "60",
        "energy": "542",
        "warming_alone": "4.3",
        "warming": "2.5",
        "sink": "45",
        "accepted": "127",
        "apparent": "217",
        "light_apparent": "307",
    }


def test_the_largest_file_is_told_in_whole_megabytes() -> None:
    assert of_department()["most_mb"] * 2**20 == LARGEST_BROUGHT_IN
