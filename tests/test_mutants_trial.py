"""A fault is tried in a copy, within bounds that a busy machine does not move, and is not tried twice."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from tests.mutants.__main__ import report
from tests.mutants.faults import Fault, faults_in
from tests.mutants.log import Log
from tests.mutants.trial import Bounds, FailsAnyway, Outcome, bounds, copy_of, noted_without_a_fault, outcome

pytestmark = pytest.mark.long

MODULE = """LEFT = 3

def total():
    n, found = 0, 0
    while n < LEFT:
        n, found = n + 1, found + n
    return found
"""
TESTS = "from app.sums import total\n\ndef test_total() -> None:\n    assert total() == 3\n"
PLENTY = Bounds(cpu_s=60, clock_s=120)


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    (tmp_path / "app").mkdir()
    (tmp_path / "app" / "__init__.py").touch()
    (tmp_path / "app" / "sums.py").write_text(MODULE)
    (tmp_path / "tests").mkdir()
    (tmp_path / "tests" / "test_sums.py").write_text(TESTS)
    return tmp_path


def fault(new: str) -> Fault:
    return next(one for one in faults_in("app/sums.py", MODULE) if one.new == new)


@pytest.mark.parametrize(
    ("new", "tests", "became"),
    [("(n <= LEFT)", TESTS, Outcome.NOTICED), ("(n <= LEFT)", "def test_it(): ...\n", Outcome.NOT_NOTICED)],
)
def test_a_fault_is_noticed_or_not_and_the_copy_is_mended(
    tree: Path, new: str, tests: str, became: Outcome
) -> None:
    (tree / "tests" / "test_sums.py").write_text(tests)
    assert outcome(tree, fault(new), ["tests"], PLENTY) is became
    assert (tree / "app" / "sums.py").read_text() == MODULE


def test_a_loop_without_an_end_is_ended_by_the_processor_time_that_it_takes(tree: Path) -> None:
    assert outcome(tree, fault("(n - 1)"), ["tests"], Bounds(3, 600)) is Outcome.TOO_LONG
    assert (tree / "app" / "sums.py").read_text() == MODULE


def test_what_only_waits_is_ended_by_the_clock(tree: Path) -> None:
    (tree / "tests" / "test_sums.py").write_text("import time\n\ndef test_it(): time.sleep(500)\n")
    assert outcome(tree, fault("(n <= LEFT)"), ["tests"], Bounds(60, 2.0)) is Outcome.TOO_LONG


def test_the_tests_that_run_a_faults_statement_are_known_and_bound_its_trial(tree: Path) -> None:
    (tree / "tests" / "test_sums.py").write_text(f"{TESTS}\ndef test_nothing() -> None:\n    pass\n")
    noted = noted_without_a_fault(tree, ["tests"])
    assert noted.tests_that_run(fault("(n <= LEFT)")) == ["tests/test_sums.py::test_total"]
    assert noted.tests_that_run(fault("4")) == ["tests/test_sums.py::test_total"], "run on import"
    both = noted.taken(["tests"])
    assert noted.taken(["tests/test_sums.py::test_total"]).clock_s < both.clock_s
    assert 30 <= bounds(both).cpu_s < 200
    assert bounds(both).clock_s > 300


@pytest.mark.parametrize(
    "tests", ["def test_it(): assert not 'sound'\n", "", "import nothing_of_that_name\n"]
)
def test_tests_that_fail_without_a_fault_are_said_to(tree: Path, tests: str) -> None:
    (tree / "tests" / "test_sums.py").write_text(tests)
    with pytest.raises(FailsAnyway, match=r"sound|no tests|nothing_of_that_name"):
        noted_without_a_fault(tree, ["tests"])


def test_the_copy_goes_when_the_run_is_ended(tree: Path) -> None:
    copies = []

    def ended() -> None:
        with copy_of(tree) as copy:
            assert (copy / "app" / "sums.py").read_text() == MODULE
            copies.append(copy)
            os.kill(os.getpid(), signal.SIGTERM)

    with pytest.raises(SystemExit):
        ended()
    assert not copies[0].parent.exists()
    assert (tree / "app" / "sums.py").exists()


def test_what_became_of_a_fault_is_known_until_its_module_changes(tree: Path) -> None:
    kept, one = tree / "kept.jsonl", fault("(n <= LEFT)")
    assert Log(kept, tree).known(one) is None
    Log(kept, tree).note(one, Outcome.NOT_NOTICED)
    assert Log(kept, tree).known(one) is Outcome.NOT_NOTICED
    assert Log(kept, tree).known(fault("(n - 1)")) is None
    (tree / "app" / "sums.py").write_text(MODULE + "\n")
    assert Log(kept, tree).known(one) is None


def test_the_report_counts_by_room_and_says_apart_what_ran_too_long() -> None:
    found = {
        fault("(n <= LEFT)"): Outcome.NOTICED,
        fault("(n - 1)"): Outcome.TOO_LONG,
        fault("(found - n)"): Outcome.NOT_NOTICED,
    }
    said = report(found)
    assert "sums: noticed 2 of 3, of these by running too long: 1" in said
    assert "not noticed: 1\n   app/sums.py:6 (sign)" in said
