"""How one run would stand in its bench: the cases of all draws, added up by hand."""

from __future__ import annotations

from math import log

import numpy as np
import pytest

from app.analysis.fit.another_run import _standing


def test_a_standing_is_what_each_case_weighs_among_all() -> None:
    """Two draws of two cases, the run like the others in the first; the bench like the others, then not. All
    weigh 1.4; the run is alike in 0.4 + 0.1 + 0.2 + 0.1, and its bench as well in 0.4 + 0.2."""
    weights = np.array([[[0.4, 0.1], [0.3, 0.2]], [[0.2, 0.1], [0.06, 0.04]]])
    found = _standing(np.log(weights), np.array([True, False]))
    assert vars(found) == pytest.approx(
        {
            "alike": 0.8 / 1.4,
            "at_home": 0.6 / 1.4,
            "log_at_home": log(0.6 / 2),
            "log_evidence": log(1.4 / 2),
        }
    )
