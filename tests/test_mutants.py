"""The planter of faults plants what it says, and nothing else."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.mutants.__main__ import sample
from tests.mutants.faults import faults_in
from tests.mutants.rooms import modules, rooms_of

ROOT = Path(__file__).resolve().parent.parent
MODULE = '''"""Été."""
LEAST: float = 0.5

def clear(price: float, most: int = 3) -> bool:
    """Not a fault: 3 < 4."""
    tidy(f"{price < 2}")
    return price * 2 + LEAST >= most
'''


def test_every_kind_of_fault_is_found_where_it_stands() -> None:
    found = {(fault.line, fault.kind, fault.old, fault.new) for fault in faults_in("m.py", MODULE)}
    assert found == {
        (2, "constant", "0.5", "0.55"),
        (4, "constant", "3", "4"),
        (6, "dropped call", 'tidy(f"{price < 2}")', "pass"),
        (7, "comparison", "price * 2 + LEAST >= most", "(price * 2 + LEAST > most)"),
        (7, "sign", "price * 2 + LEAST", "(price * 2 - LEAST)"),
        (7, "sign", "price * 2", "(price / 2)"),
        (7, "constant", "2", "3"),
    }


def test_a_fault_knows_its_statement_unless_that_runs_on_import() -> None:
    text = "A = 1\ndef f(a=2):\n    if (a >\n            3):\n        g(a,\n          4)\n    return 5\n"
    assert {fault.old: fault.statement for fault in faults_in("m.py", text) if fault.kind == "constant"} == {
        "1": None,
        "2": None,
        "3": range(3, 5),
        "4": range(5, 7),
        "5": range(7, 8),
    }


def test_a_planted_fault_changes_its_place_alone() -> None:
    faults = {fault.new: fault for fault in faults_in("m.py", MODULE)}
    changed = faults["(price * 2 - LEAST)"].planted_in(MODULE)
    assert changed == MODULE.replace("price * 2 + LEAST", "(price * 2 - LEAST)")
    assert "\n    pass\n" in faults["pass"].planted_in(MODULE)


def test_the_program_with_any_fault_of_a_sample_can_still_be_read() -> None:
    for fault in sample(ROOT, "app/physics", 100, 1):
        text = (ROOT / fault.path).read_text(encoding="utf-8")
        changed = fault.planted_in(text)
        assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(text)), fault


def test_the_same_seed_draws_the_same_faults_and_another_draws_others() -> None:
    assert sample(ROOT, "app/physics", 20, 1) == sample(ROOT, "app/physics", 20, 1)
    assert sample(ROOT, "app/physics", 20, 1) != sample(ROOT, "app/physics", 20, 2)
    assert all(fault.path.startswith("app/physics/") for fault in sample(ROOT, "app/physics", 20, 1))


@pytest.mark.parametrize("module", modules(ROOT))
def test_every_module_has_tests_that_ought_to_notice(module: str) -> None:
    assert rooms_of(module, ROOT)
