"""A bench works its specific heat capacity out itself, and may type it while the class is paused as well."""

from __future__ import annotations

import pytest

from app.practicals.lesson.states import finish_practical, pause_practical
from app.practicals.runs.reading import RunDetails, one_run
from app.practicals.runs.sending import correct_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.phone.phone import Phone, on_both_databases
from tests.web.phone.test_run_without_script import all_at_once, stored


@on_both_databases
def test_the_benchs_own_calculation_gets_a_hint_before_the_answer(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone)
    phone.step("send")
    run_id = stored(a_class)[0].run_id
    # g·h·N/w = 9.80665 × 0.95 × 50 / 2.2 = 211.7; one fall only gives 4.23.
    phone.send(f"/bench/runs/{run_id}/own", {"own_heat_capacity": "4.23", "key": "cd" * 16})
    assert "How many times did the shot fall?" in phone.text
    assert phone.text.index("How many times") < phone.text.index("<details><summary>Show how it goes")
    phone.send(f"/bench/runs/{run_id}/own", {"own_heat_capacity": "212", "key": "ef" * 16})
    assert "follows from your readings" in phone.text
    assert 'class="tag"' not in phone.text, "a calculation added is no correction of the readings"
    assert (
        phone.send(f"/bench/runs/{run_id}/own", {"own_heat_capacity": "lots", "key": "0a" * 16}).status_code
        == 422
    )
    assert "is not a number" in phone.text


def _sent(phone: Phone, a_class: AClass) -> int:
    all_at_once(phone)
    phone.step("send")
    return stored(a_class)[0].run_id


def _own(phone: Phone, run_id: int, typed: str) -> int:
    return phone.send(f"/bench/runs/{run_id}/own", {"own_heat_capacity": typed, "key": new_key()}).status_code


def test_a_text_that_is_no_number_is_not_praised_for_the_number_before_it(
    phone: Phone, a_class: AClass
) -> None:
    run_id = _sent(phone, a_class)
    _own(phone, run_id, "212")
    assert "Well worked out" in phone.text
    assert _own(phone, run_id, "lots") == 422
    assert 'value="lots"' in phone.text
    assert "Well worked out" not in phone.text


@on_both_databases
def test_a_paused_class_may_still_work_its_heat_capacities_out(phone: Phone, a_class: AClass) -> None:
    run_id = _sent(phone, a_class)
    who = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    pause_practical(a_class.database, **who)  # type: ignore[arg-type]
    _own(phone, run_id, "4.23")
    assert "How many times did the shot fall?" in phone.text
    assert stored(a_class)[0].entry.own_heat_capacity is not None


def test_a_finished_class_shows_what_was_worked_out_and_offers_no_field(
    phone: Phone, a_class: AClass
) -> None:
    run_id = _sent(phone, a_class)
    _own(phone, run_id, "4.23")
    who = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    finish_practical(a_class.database, **who)  # type: ignore[arg-type]
    phone.open("/bench/runs")
    assert "<bdi>4.23</bdi>" in phone.text
    assert 'name="own_heat_capacity"' not in phone.text
    _own(phone, run_id, "212")
    assert "is finished, so nothing was stored" in phone.text
    assert "<bdi>4.23</bdi>" in phone.text


def test_another_phones_correction_is_not_undone_by_a_calculation(
    phone: Phone, a_class: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    run_id = _sent(phone, a_class)

    def read_and_then_corrected(database: Database, **who: object) -> RunDetails:
        read = one_run(database, **who)  # type: ignore[arg-type]
        correct_run(
            database,
            actor=a_class.teacher,
            run_id=run_id,
            key=new_key(),
            entry=an_entry(end="21.6"),
            reason="read anew",
            now=NOW,
        )
        return read

    monkeypatch.setattr("app.practicals.runs.own_calculation.one_run", read_and_then_corrected)
    assert _own(phone, run_id, "212") == 409
    assert 'value="212"' in phone.text, "what was typed stays in its field"
    assert stored(a_class)[0].entry.end_temperature.raw == "21.6"


def test_a_correction_whose_reason_reads_own_calculation_is_still_told_as_one(
    phone: Phone, a_class: AClass
) -> None:
    run_id = _sent(phone, a_class)
    phone.open(f"/bench/runs/{run_id}")
    phone.send(
        f"/bench/runs/{run_id}", {**phone.form(), "end_temperature": "21.5", "reason": "own calculation"}
    )
    assert 'class="tag">corrected' in phone.text
    assert stored(a_class)[0].corrected
