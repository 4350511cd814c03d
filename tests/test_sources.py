"""Every number that the pure rooms and the made-up classes declare says where it is from."""

from __future__ import annotations

from pathlib import Path

import pytest
from scipy.special import ndtri

from app.physics.coverage import COVERAGE_95
from app.statistics.random_effects import NORMAL_90
from tests.sources_of import declared_numbers

ROOT = Path(__file__).resolve().parents[1] / "app"
ROOMS = ("physics", "statistics", "analysis")
MODULES = sorted(path for room in ROOMS for path in (ROOT / room).glob("**/*.py"))
MODULES += sorted((ROOT / "practicals" / "made_up").glob("*.py"))


@pytest.mark.parametrize("module", MODULES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_declared_number_has_a_source(module: Path) -> None:
    without = [
        f"{module.name}:{one.line}: {one.name} says nowhere where its number is from"
        for one in declared_numbers(module.read_text(encoding="utf-8"))
        if not one.has_source
    ]
    assert without == []


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("LIMIT = 3.5\n", ["LIMIT"]),
        ('LIMIT = 3.5\n"""How far a run may lie from the others."""\n', ["LIMIT"]),
        ('LIMIT = 3.5\n"""Iglewicz and Hoaglin (1993)."""\nOTHER: float = 4.5\n', ["OTHER"]),
        ("# From memory... not: from memory, said of the next line only.\nONE = 3\n\nTWO = 3\n", ["TWO"]),
        ('"""A module that cites ISO 5725-2:2019."""\nLIMIT = 3.5\n', ["LIMIT"]),
        ('STEP = Decimal("0.05")\nNONE = Decimal(0)\n', ["STEP"]),
        ('TABLE = {\n "a": Row(3, "CRC"),\n "b": Row(4, ""),\n}\n"""CRC."""\n', ["TABLE: Row(4, '')"]),
        ('_S = "CRC"\nTABLE = (Row(3, _S), Row(4))\n', ["TABLE: Row(4)"]),
        ("TABLE = (\n Row(3),  # from memory\n Row(4),\n)\n", ["TABLE: Row(4)"]),
        ('class A:\n """A.\n\n `b`: our own choice.\n """\n b: int = 3\n c: int = 3\n', ["c"]),
        ('def f(a, b=0.05, *, c=3):\n """No more."""\n', ["f(b)", "f(c)"]),
        ('def f(a, b=0.05, *, c=0):\n """b: common practice, no source."""\n', []),
        ("def f(a):\n return a > 3.5\n", ["f: a > 3.5"]),
        ("def f(a):\n return a > 3.5  # our own choice\n", []),
        ('def f(a):\n """Iglewicz and Hoaglin (1993)."""\n return a > 3.5\n', []),
        ("def f(a):\n return a > 1e-12 or len(a) > 2\n", []),
        ("NOTHING, ALL = 0, 1\nLIGHT = True\nNAME = 'CRC'\n", []),
    ],
)
def test_a_number_without_a_source_is_found(text: str, names: list[str]) -> None:
    assert [one.name for one in declared_numbers(text) if not one.has_source] == names


def test_the_quantiles_of_the_normal_distribution_are_scipys() -> None:
    assert pytest.approx(float(ndtri(0.975)), rel=1e-15) == COVERAGE_95
    assert pytest.approx(float(ndtri(0.95)), rel=1e-15) == NORMAL_90
