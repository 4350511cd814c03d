"""The law of propagation of uncertainty against the worked example of the GUM in cases.json."""

import numpy as np

from tests.oracles.gum import mean_of_sets, propagate
from tests.reference.known import close, known


@known("gum-H2")
def test_resistance_and_reactance_measured_together(case):
    # Source: JCGM 100:2008, Annex H.2, Tables H.2 to H.4 (from memory). Tolerance: 0.0011, the last
    # printed digit.
    inputs, expected = case["inputs"], case["expected"]
    x, u, r = mean_of_sets(np.array([inputs["V"], inputs["I_A"], inputs["phi"]]).T)

    def model(q):
        volts, amperes, phase = q
        z = volts / amperes
        return [z * np.cos(phase), z * np.sin(phase), z]

    found = propagate(model, x, u, r)
    for i, name in enumerate("RXZ"):
        assert found.values[i] == close(expected[name], abs=0.0011)
        assert found.u[i] == close(expected[f"u_{name}"], abs=0.0011)
    for name, (i, j) in {"RX": (0, 1), "RZ": (0, 2), "XZ": (1, 2)}.items():
        assert found.correlation[i, j] == close(expected[f"r_{name}"], abs=0.0011)
