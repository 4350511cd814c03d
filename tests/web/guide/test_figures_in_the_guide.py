"""The figures that the guide's sentences name."""

from __future__ import annotations

from flask import Flask

from app.physics.materials import MATERIALS
from app.web.guide.example import example
from app.web.guide.facts import of_department, of_practical, of_technician
from app.web.uploads import LARGEST_BROUGHT_IN
from tests.web.desk.conftest import application  # noqa: F401 - the fixture


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


def test_the_tables_of_lead_differ_by_two_percent_and_the_technicians_metals_are_told_in_figures(
    application: Flask,  # noqa: F811 - the fixture
) -> None:
    """Lead's 129.5 is 1.6 % above 127.4; 50 falls of 1 m give 490.3 J/kg, over c the warming."""
    with application.test_request_context():
        assert of_practical()["tables_differ"] == "2"
        told = of_technician()
    by_name = {str(one.name): (one.accepted, one.density, one.warming, one.is_lead) for one in told["metals"]}
    assert by_name["Lead"] == ("127.4", "11340", "3.8", True)
    assert by_name["Copper"] == ("384.0", "8960", "1.3", False)
    assert by_name["Steel"][:2] == ("450\N{EN DASH}500", "7850")


def test_each_metal_is_told_all_of_its_cautions_and_none_twice(
    application: Flask,  # noqa: F811 - the fixture
) -> None:
    with application.test_request_context():
        told = of_technician()
    for metal, known in zip(told["metals"], MATERIALS.values(), strict=True):
        own = told["lead_cautions"] if metal.is_lead else told["cautions_of_others"]
        said = [str(one) for one in (*told["cautions"], *own, *metal.care)]
        assert sorted(said) == sorted(map(str, known.safety)), metal.name
