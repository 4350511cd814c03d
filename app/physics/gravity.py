"""Normal gravity on the WGS 84 ellipsoid from latitude and height.

Somigliana's closed formula at the ellipsoid with a free-air term for height. It knows nothing of the
local gravity anomaly, which reaches about 5·10⁻⁴ m/s² and more in mountains (from memory).
"""

from __future__ import annotations

import math

EQUATOR_M_PER_S2 = 9.7803253359  # NIMA TR8350.2 (2000), WGS 84, from memory; agrees with boule's WGS84
SOMIGLIANA_K = 0.00193185265241  # NIMA TR8350.2 (2000), WGS 84, from memory; agrees with boule's WGS84
ECCENTRICITY_SQUARED = 0.00669437999014  # NIMA TR8350.2 (2000), WGS 84, from memory; as above
FREE_AIR_PER_S2 = 3.086e-6  # the usual free-air gradient, 0.3086 mGal/m, from memory


def normal_gravity(latitude_deg: float, height_m: float = 0.0) -> float:
    """γ = γ_e (1 + k sin²φ) / √(1 − e² sin²φ) − 3.086·10⁻⁶ s⁻² · H, in m/s².

    Domain: −90 ≤ φ ≤ 90 degrees, −500 ≤ H ≤ 9000 m; ValueError otherwise.
    Source: NIMA TR8350.2 (WGS 84), constants from memory; checked against boule's WGS84.
    """
    if not -90 <= latitude_deg <= 90:
        raise ValueError("latitude must lie between -90 and 90 degrees")
    if not -500 <= height_m <= 9000:
        raise ValueError("height must lie between -500 and 9000 metres")
    sine_squared = math.sin(math.radians(latitude_deg)) ** 2
    at_ellipsoid = (
        EQUATOR_M_PER_S2
        * (1 + SOMIGLIANA_K * sine_squared)
        / math.sqrt(1 - ECCENTRICITY_SQUARED * sine_squared)
    )
    return at_ellipsoid - FREE_AIR_PER_S2 * height_m
