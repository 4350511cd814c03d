"""The physics tests run under the profile named by HYPOTHESIS_PROFILE (short by default, or long)."""

from tests.profiles import load_profile

load_profile()
