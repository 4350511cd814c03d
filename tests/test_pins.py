"""The pinned versions cover what the project asks for, with hashes and without addresses."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def _name(requirement: str) -> str:
    return re.split(r"[\[<>=; ]", requirement, maxsplit=1)[0].lower().replace("_", "-")


@pytest.mark.parametrize(
    ("pins", "wanted"),
    [
        ("run.txt", PROJECT["dependencies"]),
        ("test.txt", PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]),
    ],
)
def test_every_dependency_is_pinned_with_hashes_and_no_address(pins: str, wanted: list[str]) -> None:
    text = (ROOT / ".pins" / pins).read_text(encoding="utf-8")
    pinned = set(re.findall(r"^([a-z0-9.-]+)(?:\[[a-z,]+\])?==", text, re.MULTILINE))
    assert {_name(one) for one in wanted} <= pinned
    assert text.count("--hash=sha256:") >= len(pinned)
    assert "://" not in text
