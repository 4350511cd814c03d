"""One run's uncertainty, local gravity and accepted values against the figures in cases.json."""

import chemicals
import numpy as np

from app.physics.gravity import normal_gravity
from app.physics.materials import MATERIALS
from app.physics.uncertainty import apparent_heat_capacities
from tests.oracles.gum import propagate
from tests.reference.known import close, known


def worked_out(inputs):
    # The case gives the standard uncertainty of one temperature; a step s has u = s/√12.
    return apparent_heat_capacities(
        inputs["h"],
        0.0,
        inputs["N"],
        inputs["T1"],
        inputs["T2"],
        thermometer_step_K=inputs["uT"] * np.sqrt(12),
        u_length_m=inputs["uh"],
        gravity_m_per_s2=inputs["g"],
        u_gravity_m_per_s2=inputs["ug"],
    )


@known("gum-run-lead", "gum-run-small-dT")
def test_a_run_s_heat_capacity_uncertainty_and_budget(case):
    # Source: GTC 1.5.1 (GUM tree calculator) on synthetic runs. Tolerances: c 1e-9, u 1e-6.
    expected = case["expected"]
    found = worked_out(case["inputs"])
    assert found.apparent_heat_capacity_J_per_kg_K == close(expected["c"], rel=1e-9)
    assert found.standard_uncertainty_J_per_kg_K == close(expected["u"], rel=1e-6)
    wanted = expected["abs_contributions"]
    assert found.shares["fall_length"] == close(wanted["h"], rel=1e-6)
    assert found.shares["thermometer_step"] == close(float(np.hypot(wanted["T1"], wanted["T2"])), rel=1e-6)
    assert found.shares["gravity"] == wanted["g"] == 0.0
    # Neither mass nor heat sink is in c*, and in these cases neither of them counts.
    assert case["inputs"]["C"] == wanted["m"] == wanted["C"] == 0.0


@known("gum-run-lead", "gum-run-small-dT")
def test_the_general_law_of_propagation_gives_the_same_input_by_input(case):
    # Source and tolerances as above; here every input of the case stands alone, T1 and T2 too.
    inputs, expected = case["inputs"], case["expected"]
    names = ("h", "T1", "T2", "m", "C", "g")
    u = [inputs["uT"] if n.startswith("T") else inputs[f"u{n}"] for n in names]

    def model(q):
        h, start, end, mass, sink, g = q
        return g * h * inputs["N"] / (end - start) - sink / mass

    found = propagate(model, [inputs[n] for n in names], u)
    assert found.values[0] == close(expected["c"], rel=1e-9)
    assert found.u[0] == close(expected["u"], rel=1e-6)
    for i, name in enumerate(names):
        assert found.contributions[0, i] == close(expected["abs_contributions"][name], rel=1e-6)


@known("gum-run-lead", "gum-run-small-dT")
def test_a_run_s_interval_is_as_lopsided_as_monte_carlo(case):
    # Source: 200 000 normal draws (indicative, tolerance 1e-2). Fieller's interval is the set of values
    # that the readings do not contradict, not the spread of draws of the ratio; while the warming is
    # well above its uncertainty both agree, and both leave far more room above than below.
    expected = case["expected"]
    found = worked_out(case["inputs"])
    low, high = found.low_95_J_per_kg_K, found.high_95_J_per_kg_K
    assert low == close(expected["mc_q025"], rel=1e-2)
    assert high == close(expected["mc_q975"], rel=1e-2)
    assert high - expected["c"] > expected["c"] - low


@known("gravity-a")
def test_normal_gravity_by_latitude_and_height(case):
    # Source: boule 0.6.0 WGS84.normal_gravity; Somigliana's formula with the constants of NIMA TR8350.2
    # (from memory). Tolerances: 1e-7 at height 0, 1e-5 with the free-air term.
    places = case["inputs"]["lat_deg_height_m"]
    for (latitude, height), g in zip(places, case["expected"]["g"], strict=True):
        assert normal_gravity(latitude, height) == close(g, abs=1e-7 if height == 0 else 1e-5)


@known("cp-a")
def test_accepted_heat_capacities_are_the_handbook_s(case):
    # Source: CRC Handbook by chemicals 1.5.2 (`CRC_standard_data`, Cps / MW). The lookup is exact; ours is
    # printed to 0.1 J/(kg·K), and tables differ by up to 2 %.
    for element, figures in case["expected"].items():
        ours = {"aluminum": "aluminium"}.get(element, element)
        assert MATERIALS[ours].accepted_J_per_kg_K == close(figures["c_J_kgK"], abs=0.051)


@known("cp-a")
def test_the_handbook_s_molar_values_are_looked_up_in_the_library(case):
    table = chemicals.heat_capacity.CRC_standard_data
    numbers = {"lead": "7439-92-1", "copper": "7440-50-8", "iron": "7439-89-6", "aluminum": "7429-90-5"}
    assert set(numbers) == set(case["expected"])
    for element, figures in case["expected"].items():
        molar = float(table.at[numbers[element], "Cps"])
        assert molar == figures["Cp_molar"]
        assert molar / chemicals.MW(numbers[element]) * 1000 == close(figures["c_J_kgK"], rel=1e-9)


@known("cp-a")
def test_tin_is_white_tin_and_not_the_library_s_gray_tin(case):
    # Source: white tin about 227 J/(kg·K), from memory; the CRC row of the library is gray tin, 217.
    assert "GRAY" in case["inputs"]["excluded"]
    assert MATERIALS["tin"].accepted_J_per_kg_K == close(227.0, rel=0.02)
