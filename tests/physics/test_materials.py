"""Accepted values and densities against the tables in the `chemicals` package."""

from __future__ import annotations

import csv
from pathlib import Path

import chemicals
import pytest
from chemicals.heat_capacity import Cp_dict_JANAF_solid, CRC_standard_data
from chemicals.volume import rho_data_CRC_inorg_s_const
from numpy import interp

from app.physics.materials import MATERIALS

CAS = {
    "lead": "7439-92-1",
    "copper": "7440-50-8",
    "iron": "7439-89-6",
    "aluminium": "7429-90-5",
    "bismuth": "7440-69-9",
    "zinc": "7440-66-6",
    "tungsten": "7440-33-7",
}


@pytest.mark.parametrize("key", sorted(CAS))
def test_the_accepted_value_is_the_handbook_value(key: str) -> None:
    """Source: chemicals, CRC_standard_data Cps over the molar mass."""
    table = CRC_standard_data.loc[CAS[key], "Cps"] / chemicals.MW(CAS[key]) * 1000
    assert MATERIALS[key].accepted_J_per_kg_K == pytest.approx(table, rel=1e-3)


@pytest.mark.parametrize("key", sorted(set(CAS) - {"iron", "bismuth"}))
def test_a_second_table_lies_at_the_edge_of_the_range(key: str) -> None:
    """Source: chemicals, JANAF solid table at 298.15 K (it has no iron and no bismuth)."""
    temperatures, molar = Cp_dict_JANAF_solid[CAS[key]]
    table = float(interp(298.15, temperatures, molar)) / chemicals.MW(CAS[key]) * 1000
    ends = MATERIALS[key].accepted_range_J_per_kg_K
    assert min(abs(table - end) for end in ends) < 0.1
    assert min(ends) - 0.1 <= table <= max(ends) + 0.1


@pytest.mark.parametrize(
    ("key", "formula", "subphase"), [("iron", "Fe", "α"), ("tin", "Sn", ""), ("bismuth", "Bi", "")]
)
def test_perrys_table_lies_at_the_edge_of_the_range(key: str, formula: str, subphase: str) -> None:
    """Source: chemicals, Perry's table 2-151, solid: a + b·T in cal/(mol·K) at 298.15 K.

    4.184 J are a thermochemical calorie (ISO 31-4:1992, annex B; from memory).
    """
    table = Path(chemicals.__file__).parent / "Heat Capacity" / "Perrys Table 2-151.tsv"
    with table.open(encoding="utf-8") as lines:
        (row,) = [
            row
            for row in csv.reader(lines, delimiter="\t")
            if (row[1].strip(), row[2], row[3].strip()) == (formula, "c", subphase)
        ]
    molar = (float(row[4]) + float(row[5]) * 298.15) * 4.184
    expected = molar / chemicals.periodic_table[formula].MW * 1000
    ends = MATERIALS[key].accepted_range_J_per_kg_K
    assert max(ends) == pytest.approx(expected, abs=0.1)
    assert "2-151" in MATERIALS[key].range_source


@pytest.mark.parametrize("key", sorted(CAS))
def test_the_density_is_the_handbook_value(key: str) -> None:
    """Source: chemicals, rho_data_CRC_inorg_s_const (molar volume)."""
    table = chemicals.MW(CAS[key]) / 1000 / float(rho_data_CRC_inorg_s_const["Vm"].to_dict()[CAS[key]])
    assert MATERIALS[key].density_kg_per_m3 == pytest.approx(table, rel=5e-3)


def test_tin_is_the_white_metal_and_not_the_grey_powder() -> None:
    """The CRC row of the package is grey tin, 217 J/(kg·K); Perry's, the range's other end, is white."""
    grey = CRC_standard_data.loc["7440-31-5", "Cps"] / chemicals.MW("7440-31-5") * 1000
    low, high = MATERIALS["tin"].accepted_range_J_per_kg_K
    assert MATERIALS["tin"].accepted_J_per_kg_K == low
    assert low == pytest.approx(high, rel=0.02)  # Perry's own error of this row: 2 %
    assert low - grey > 8


def test_alloys_are_ranges_and_say_so() -> None:
    for key in ("steel", "brass"):
        low, high = MATERIALS[key].accepted_range_J_per_kg_K
        assert low < MATERIALS[key].accepted_J_per_kg_K < high
        assert "from memory" in MATERIALS[key].accepted_source
        assert MATERIALS[key].u_accepted_J_per_kg_K == pytest.approx((high - low) / 12**0.5)


@pytest.mark.parametrize("key", sorted(MATERIALS))
def test_every_metal_puts_local_rules_first_and_names_the_usual_dangers(key: str) -> None:
    sentences = [str(message).lower() for message in MATERIALS[key].safety]
    assert "risk assessment" in sentences[0]
    for danger in (
        "both end caps",
        "tray",
        "eye protection",
        "hearing",
        "in turns",
        "spilled shot",
        "food",
        "wash your hands",
    ):
        assert any(danger in sentence for sentence in sentences), danger


def test_lead_has_its_own_cautions_and_copper_does_not() -> None:
    assert any("poisonous" in str(message) for message in MATERIALS["lead"].safety)
    assert not any("poisonous" in str(message) for message in MATERIALS["copper"].safety)
