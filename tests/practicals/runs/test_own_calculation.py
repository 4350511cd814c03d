"""How far a bench's own c may lie, from its thermometer and its ruler alone."""

from __future__ import annotations

from decimal import Decimal

from app.practicals.runs.own_calculation import own_uncertainty
from app.practicals.runs.reading import one_run
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_collecting_class, a_plan, an_entry, new_key


def test_c_less_and_c_plus_its_standard_uncertainty(sqlite_database: Database) -> None:
    """By hand: c = 9.80665 × 0.95 × 50 / 2.2 = 211.73; a step s has s/√12 (JCGM 100:2008, 4.3.7), two
    readings √2 times as much, so that u(c) = c × s/√6 / 2.2, which is 3.93 for a step of 0.1 K."""
    one = a_collecting_class(sqlite_database)
    saved = enter_run(sqlite_database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    run = one_run(sqlite_database, actor=one.teacher, run_id=saved.run_id)
    exact = {"length_sd_m": Decimal(0), "reading_sd_K": Decimal(0)}
    assert own_uncertainty(run, a_plan(**exact)) == ("207.8", "215.7")
    assert own_uncertainty(run, a_plan(**exact, thermometer_step_K=Decimal("0.01"))) == ("211.34", "212.13")


def test_a_run_that_ends_colder_has_none(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    entry = an_entry(start="21.4", end="19.2")
    saved = enter_run(sqlite_database, actor=one.join(1), key=new_key(), entry=entry, now=NOW)
    assert own_uncertainty(one_run(sqlite_database, actor=one.teacher, run_id=saved.run_id), a_plan()) is None
