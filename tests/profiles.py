"""How much is tried: `short` in every run of the tests, `long` for a release (HYPOTHESIS_PROFILE=long).

The short one tries the same examples everywhere, so that a fresh machine sees what was seen here.
`unshrunk` is for `tests.mutants`, which asks only whether an example fails, not for the least one.
`python -m tests.faults` runs the tests of faults with the long one.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, Phase, settings

VARIABLE = "HYPOTHESIS_PROFILE"

settings.register_profile("short", max_examples=200, deadline=None, derandomize=True, database=None)
settings.register_profile(
    "unshrunk", max_examples=200, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate)
)
settings.register_profile(
    "long", max_examples=100_000, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


def load_profile() -> None:
    """Load the profile named by the environment."""
    settings.load_profile(_named())


def tries(short: int, long: int) -> int:
    """How many rounds or examples a costly test has in the profile of this run."""
    return long if _named() == "long" else short


def _named() -> str:
    return os.environ.get(VARIABLE, "short")
