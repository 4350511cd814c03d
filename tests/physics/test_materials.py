"""Accepted values and densities against the tables in the `chemicals` package."""

from __future__ import annotations

import csv
from pathlib import Path

import chemicals
import pytest
from chemicals.heat_capacity import Cp_dict_JANAF_solid, CRC_standard_data
from chemicals.volume import rho_data_CRC_inorg_s_const
from numpy import interp

from app.physics.materials import MATERIALS, u_accepted_J_per_kg_K

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
        assert MATERIALS[key].accepted_J_per_kg_K == (low + high) / 2
        assert "from memory" in MATERIALS[key].accepted_source
        assert MATERIALS[key].u_accepted_J_per_kg_K == pytest.approx((high - low) / 12**0.5)
    assert {key for key, metal in MATERIALS.items() if metal.is_alloy} == {"steel", "brass"}


def test_steels_lie_between_iron_and_stainless_steel() -> None:
    """AISI 304 has 500 J/(kg·K), plain carbon steel 7850 kg/m³ (from memory)."""
    low, high = MATERIALS["steel"].accepted_range_J_per_kg_K
    assert low == pytest.approx(MATERIALS["iron"].accepted_J_per_kg_K, rel=0.01)
    assert high == pytest.approx(500, rel=0.01)
    assert MATERIALS["steel"].density_kg_per_m3 == pytest.approx(7850, rel=0.01)


def test_brass_is_like_the_copper_and_zinc_in_it() -> None:
    """Kopp's rule for 65 % of copper: each metal's share of the mass. Cartridge brass has 8530 kg/m³, free
    cutting brass 8490 kg/m³ (from memory)."""
    of_its_metals = (
        0.65 * MATERIALS["copper"].accepted_J_per_kg_K + 0.35 * MATERIALS["zinc"].accepted_J_per_kg_K
    )
    low, high = MATERIALS["brass"].accepted_range_J_per_kg_K
    assert high == pytest.approx(of_its_metals, rel=0.01)
    assert low == pytest.approx(of_its_metals, rel=0.05)
    assert MATERIALS["brass"].density_kg_per_m3 == pytest.approx(8510, rel=0.01)


def test_white_tin_is_denser_than_grey_tin() -> None:
    """7.29 g/cm³ and 5.77 g/cm³, from memory."""
    assert MATERIALS["tin"].density_kg_per_m3 == pytest.approx(7290, rel=0.01)


def test_elements_are_given_at_the_tables_temperature_and_alloys_at_a_rooms() -> None:
    assert {metal.accepted_temperature_C for metal in MATERIALS.values() if not metal.is_alloy} == {25.0}
    assert {metal.accepted_temperature_C for metal in MATERIALS.values() if metal.is_alloy} == {20.0}


def test_a_tables_value_is_as_uncertain_as_the_table_and_a_typed_one_is_taken_as_it_is() -> None:
    """Rectangular over the range of the two tables, width/√12: JCGM 100:2008, 4.3.7."""
    lead = MATERIALS["lead"]
    low, high = lead.accepted_range_J_per_kg_K
    assert u_accepted_J_per_kg_K("Lead", lead.accepted_J_per_kg_K) == pytest.approx((high - low) / 12**0.5)
    assert u_accepted_J_per_kg_K("lead", lead.accepted_J_per_kg_K + 0.1) == 0.0
    assert u_accepted_J_per_kg_K("lead", lead.accepted_J_per_kg_K - 0.1) == 0.0
    assert u_accepted_J_per_kg_K("unobtainium", 130.0) == 0.0


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
        "people slip on it",
        "food or drink at the bench",
        "wash your hands",
    ):
        assert any(danger in sentence for sentence in sentences), danger


def test_lead_has_its_own_cautions_and_copper_does_not() -> None:
    assert any("poisonous" in str(message) for message in MATERIALS["lead"].safety)
    assert not any("poisonous" in str(message) for message in MATERIALS["copper"].safety)
    of_lead = " ".join(str(message) for message in MATERIALS["lead"].safety)
    for care in (
        "away from your mouth and eyes",
        "grey dust with a damp cloth",
        "never into a bin or a sink",
    ):
        assert care in of_lead


def test_iron_and_steel_alone_are_kept_dry() -> None:
    dry = {
        key
        for key, metal in MATERIALS.items()
        if "Keep the shot dry: it rusts" in " ".join(map(str, metal.safety))
    }
    assert dry == {"iron", "steel"}
