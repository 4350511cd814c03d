"""The cases of cases.json, and which of them a test has claimed.

cases.json holds inputs, expected values, tolerances and the source of each, verbatim. A test asks
for its cases by id with `known(...)`; `test_no_case_is_left_unchecked.py` fails for an id that no test
has asked for.
"""

import json
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest

CASES = MappingProxyType(
    {
        case["id"]: case
        for case in json.loads((Path(__file__).parent / "cases.json").read_text(encoding="utf-8"))
    }
)
CLAIMED: set[str] = set()


def known(*ids: str) -> Any:
    """Run the test once for each of these cases, given as `case`."""
    CLAIMED.update(ids)
    return pytest.mark.parametrize("case", [CASES[name] for name in ids], ids=ids)


def close(value: float, rel: float = 0.0, abs: float = 0.0) -> Any:
    """The expected value with exactly the tolerance given (never pytest's default)."""
    return pytest.approx(value, rel=rel, abs=abs or (1e-12 if rel else 0.0))
