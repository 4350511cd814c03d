"""Bounds of what may be typed, planned and stored, each declared once, with its reason.

Every door uses these: the parsers, the plan, the planner, the checks of a run, the analysis and the
constraints of the database. A sentence that names a bound takes its number from here.
"""

from __future__ import annotations

from decimal import Decimal

MOST_INVERSIONS = 10_000
"""The most inversions of one run. At 30 a minute (a usual pace; common practice, no source) they take five
and a half hours, more than any lesson (our own choice)."""

LEAST_GRAVITY_M_PER_S2 = Decimal("9.76")  # Hirt et al. (2013), as below
MOST_GRAVITY_M_PER_S2 = Decimal("9.84")
"""At the Earth's surface g lies between 9.7639 m/s² (Huascarán) and 9.8337 m/s² (Arctic Ocean): C. Hirt et
al., Geophys. Res. Lett. 40 (2013) 4279, from memory; rounded outwards to the hundredth. A rough 9.8 and
a school's 9.81 are inside, 10 is not."""

LEAST_ACCEPTED_J_PER_KG_K = Decimal(10)  # our own choice, as below
MOST_ACCEPTED_J_PER_KG_K = Decimal(10_000)
"""An accepted specific heat capacity. At room temperature no metal lies below 100 J/(kg·K) and no liquid
above water and ammonia, under 5,000 (from memory); the bounds leave room on both sides (our own choice)."""
