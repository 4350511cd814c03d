"""The metals a school may have as shot, with accepted specific heat capacities and what to take care of.

Specific heat capacities of the elements are the molar values of the CRC Handbook's standard thermodynamic
tables at 298.15 K divided by the molar mass (checked against the `chemicals` package, and against JANAF where
it has the element). Alloys have no single value: they carry a range, from memory. Densities are from memory,
checked against CRC molar volumes where the table has the element; shot of an alloy may differ by 2 %.

The cautions are the usual ones of the trade (common practice, no source). They do not replace local rules or
the school's own risk assessment, and the first of them says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.words import N_, Message

CRC = "CRC Handbook of Chemistry and Physics, standard thermodynamic properties at 298.15 K"
_JANAF = "NIST-JANAF Thermochemical Tables (1998), solid, 298.15 K"
_PERRY = "Perry's Chemical Engineers' Handbook, 8th ed. (2008), table 2-151, at 298.15 K"
_HANDBOOKS = "from memory, engineering handbooks"

LOCAL_RULES_FIRST = Message(
    N_("Local rules and your school's own risk assessment come first: do what your teacher says.")
)
_WITH_ANY_SHOT = (
    LOCAL_RULES_FIRST,
    Message(N_("Hold both end caps with your hands whenever the tube moves.")),
    Message(N_("Keep a tray under the tube, and check the tube and its caps for cracks before you start.")),
    Message(N_("Wear eye protection: shot that gets out can fly.")),
    Message(N_("It is loud: wear hearing protection, or let the benches tip in turns.")),
    Message(N_("Sweep up spilled shot at once: people slip on it.")),
    Message(N_("Take the thermometer out before tipping, and lower it gently into the shot: glass breaks.")),
    Message(N_("No food or drink at the bench.")),
)
_LEAD = (
    *_WITH_ANY_SHOT,
    Message(N_("Lead is poisonous: wash your hands with soap after touching the shot, and before you eat.")),
    Message(N_("Keep your fingers away from your mouth and eyes, and cover cuts.")),
    Message(N_("Pour the shot slowly, away from your face; wipe up grey dust with a damp cloth, never dry.")),
    Message(N_("Lead goes back into its labelled container, never into a bin or a sink.")),
)
_OTHER_METAL = (*_WITH_ANY_SHOT, Message(N_("Wash your hands when you have finished.")))
_MAY_HOLD_LEAD = (
    *_OTHER_METAL,
    Message(
        N_("Check the label: shot of this metal can contain some lead. If so, take the care that lead needs.")
    ),
)
_RUSTS = (
    *_OTHER_METAL,
    Message(N_("Keep the shot dry: it rusts, and wet shot gives wrong temperatures.")),
)


@dataclass(frozen=True)
class Material:
    """One metal.

    `accepted_J_per_kg_K` is the value that a percent error is taken from; for an alloy it is the middle of
    `accepted_range_J_per_kg_K`, and for an element the range is what printed tables differ by: `range_source`
    names the second one.
    """

    key: str
    name: Message
    accepted_J_per_kg_K: float
    accepted_range_J_per_kg_K: tuple[float, float]
    accepted_temperature_C: float
    accepted_source: str
    range_source: str
    density_kg_per_m3: float
    density_source: str
    safety: tuple[Message, ...]
    is_alloy: bool = False

    @property
    def u_accepted_J_per_kg_K(self) -> float:
        """Standard uncertainty: the range as a rectangular distribution, width/√12 (JCGM 100:2008, 4.3.7)."""
        low, high = self.accepted_range_J_per_kg_K
        return float((high - low) / 12**0.5)


def from_molar(molar_J_per_mol_K: float, molar_mass_g: float, source: str) -> tuple[float, str]:
    """A molar heat capacity as J/(kg·K), to one decimal, and its source with both numbers."""
    described = f"{source}: {molar_J_per_mol_K} J/(mol·K), {molar_mass_g} g/mol"
    return round(molar_J_per_mol_K / molar_mass_g * 1000, 1), described


def _element(
    key: str,
    name: Message,
    molar_J_per_mol_K: float,
    molar_mass_g: float,
    other_table_J_per_kg_K: float,
    other_source: str,
    density_kg_per_m3: float,
    safety: tuple[Message, ...],
    source: str = CRC,
) -> Material:
    accepted, accepted_source = from_molar(molar_J_per_mol_K, molar_mass_g, source)
    return Material(
        key=key,
        name=name,
        accepted_J_per_kg_K=accepted,
        accepted_range_J_per_kg_K=(
            min(accepted, other_table_J_per_kg_K),
            max(accepted, other_table_J_per_kg_K),
        ),
        accepted_temperature_C=25.0,
        accepted_source=accepted_source,
        range_source=other_source,
        density_kg_per_m3=density_kg_per_m3,
        density_source="from memory",
        safety=safety,
    )


def _alloy(
    key: str,
    name: Message,
    range_J_per_kg_K: tuple[float, float],
    range_source: str,
    density_kg_per_m3: float,
    safety: tuple[Message, ...],
) -> Material:
    low, high = range_J_per_kg_K
    return Material(
        key=key,
        name=name,
        accepted_J_per_kg_K=(low + high) / 2,
        accepted_range_J_per_kg_K=range_J_per_kg_K,
        accepted_temperature_C=20.0,
        accepted_source=N_(
            "Range over common alloys, engineering handbooks (from memory);"
            " use the value for your own alloy if you have it"
        ),
        range_source=range_source,
        density_kg_per_m3=density_kg_per_m3,
        density_source="from memory; varies with the alloy",
        safety=safety,
        is_alloy=True,
    )


_ALL = (
    # Tables really differ, for lead by 1.7 %.
    _element("lead", Message(N_("Lead")), 26.4, 207.2, 129.5, _JANAF, 11340, _LEAD),
    _element("copper", Message(N_("Copper")), 24.4, 63.546, 384.6, _JANAF, 8960, _OTHER_METAL),
    # 4.13 + 0.00638 T cal/(mol·K), α iron.
    _element("iron", Message(N_("Iron")), 25.1, 55.845, 451.9, _PERRY, 7874, _RUSTS),
    _alloy("steel", Message(N_("Steel")), (450.0, 500.0), _HANDBOOKS, 7850, _RUSTS),
    _alloy("brass", Message(N_("Brass")), (370.0, 385.0), _HANDBOOKS, 8500, _MAY_HOLD_LEAD),
    _element("aluminium", Message(N_("Aluminium")), 24.2, 26.982, 897.2, _JANAF, 2700, _OTHER_METAL),
    # The CRC row that the chemicals package has is grey tin; shot is white tin. 5.05 + 0.00480 T cal/(mol·K).
    _element(
        "tin",
        Message(N_("Tin (white)")),
        27.0,
        118.71,
        228.4,
        _PERRY,
        7290,
        _MAY_HOLD_LEAD,
        source="White tin at 298.15 K, handbook value from memory",
    ),
    # 5.38 + 0.00260 T cal/(mol·K).
    _element("bismuth", Message(N_("Bismuth")), 25.5, 208.98, 123.2, _PERRY, 9790, _MAY_HOLD_LEAD),
    _element("zinc", Message(N_("Zinc")), 25.4, 65.38, 388.3, _JANAF, 7140, _OTHER_METAL),
    _element("tungsten", Message(N_("Tungsten")), 24.3, 183.84, 132.2, _JANAF, 19300, _OTHER_METAL),
)
"""Molar heat capacities from the CRC Handbook, molar masses IUPAC's, the second table named in each row,
densities from memory."""

MATERIALS: Mapping[str, Material] = MappingProxyType({material.key: material for material in _ALL})


def u_accepted_J_per_kg_K(material: str, accepted_J_per_kg_K: float) -> float:
    """Standard uncertainty of an accepted value: the table's where it is the table's, else 0.

    A value typed by hand is taken as it is. Metals that are not in the table have 0 too.
    """
    known = MATERIALS.get(material.lower())
    if known is None or abs(known.accepted_J_per_kg_K - accepted_J_per_kg_K) > 1e-6:
        return 0.0
    return known.u_accepted_J_per_kg_K
