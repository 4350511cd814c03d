"""What the phone's script is answered: once stored always the same, and never a bare failure."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.practicals.benches.watch import benches_of
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.states import finish_practical, pause_practical, resume_practical
from app.practicals.runs.reading import RunDetails, runs_in
from app.web.phone.typed import FIELDS
from tests.as_typed import ANYTHING
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import KEY, READINGS, Phone, on_both_databases


def stored(a_class: AClass) -> list[RunDetails]:
    with a_class.database.reading() as session:
        return runs_in(session, a_class.practical_id)


@on_both_databases
def test_a_run_is_named_and_a_repeated_send_gets_the_same_answer(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    first, second = phone.ask("/bench/send", row), phone.ask("/bench/send", row)
    assert first.status_code == second.status_code == 200
    assert first.json == second.json
    assert first.get_json()["saved"] == {"key": KEY, "run": 1, "version": 1, "ask": False, "waits": False}
    assert len(stored(a_class)) == 1


@on_both_databases
def test_a_repeated_send_is_answered_even_after_the_class_is_finished(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    phone.ask("/bench/send", row)
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    again = phone.ask("/bench/send", row).get_json()
    assert again["saved"] == {"key": KEY, "run": 1, "version": 1, "ask": False, "waits": False}
    late = phone.ask("/bench/send", {**row, "key": "f" * 32})
    assert late.status_code == 409
    assert "finished" in late.json["problem"]  # type: ignore[index]


@on_both_databases
def test_the_teacher_sees_the_runs_that_a_paused_class_did_not_take_in(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    pause_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    assert phone.ask("/bench/send", row).status_code == 409
    waiting = [
        one.waiting_to_send
        for one in class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).benches
    ]
    assert waiting == [3], "this one, and the two behind it"
    assert phone.ask("/bench/send", {**row, "waiting": "many"}).status_code == 409
    assert (
        class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
        .benches[0]
        .waiting_to_send
        == 1
    ), "this one at least"
    resume_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    assert phone.ask("/bench/send", {**row, "waiting": "0"}).status_code == 200
    waiting = [
        one.waiting_to_send
        for one in class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).benches
    ]
    assert waiting == [0]


@on_both_databases
def test_the_same_key_with_other_readings_is_refused(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    phone.ask("/bench/send", row)
    answer = phone.ask("/bench/send", {**row, "shot_mass": "345"})
    assert answer.status_code == 422
    assert answer.json["taken"] is True  # type: ignore[index]
    assert stored(a_class)[0].entry.shot_mass.raw == "340"


@on_both_databases
def test_readings_of_another_bench_are_not_taken_for_this_one(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    answer = phone.ask("/bench/send", {**row, "bench": "999"})
    assert answer.status_code == 409
    assert answer.get_json()["other_bench"] is True, "the phone keeps the run for its own bench"
    assert stored(a_class) == []


@pytest.mark.parametrize("key", ["", "short", "g" * 32, "A" * 32, KEY + "0"])
def test_a_run_without_a_good_key_is_refused(phone: Phone, row: dict[str, object], key: str) -> None:
    assert phone.ask("/bench/send", {**row, "key": key}).status_code == 422


def test_a_phone_of_no_bench_is_told_in_json(new_phone: Callable[[], Phone], row: dict[str, object]) -> None:
    answer = new_phone().ask("/bench/send", row)
    assert answer.status_code == 401
    assert "your readings are kept" in answer.json["problem"]  # type: ignore[index]


@pytest.mark.parametrize(
    "clock", ["1970-01-01T00:00:00Z", "9999-12-31T23:59:59-23:59", "yesterday", "2026-13-01"]
)
def test_a_wrong_clock_on_the_phone_stops_nothing(
    phone: Phone, a_class: AClass, row: dict[str, object], clock: str
) -> None:
    assert phone.ask("/bench/send", {**row, "client_time": clock, "start_read_at": clock}).status_code == 200
    assert stored(a_class)[0].client_time is None


def test_a_step_that_is_not_there_takes_no_reading(phone: Phone) -> None:
    answer = phone.send("/bench/run/rest", {"shot_mass": "340"}, follow=False)
    assert answer.status_code == 404


def test_a_run_number_beyond_all_numbers_is_no_run(phone: Phone) -> None:
    assert phone.open(f"/bench/runs/{10**30}").status_code == 404


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(name=st.sampled_from(sorted(FIELDS)), text=ANYTHING, unit=st.text(max_size=4))
def test_whatever_is_typed_gets_a_look_and_never_a_failure(
    phone: Phone, name: str, text: str, unit: str
) -> None:
    """100,000 examples with HYPOTHESIS_PROFILE=long."""
    typed = {**READINGS, name: text, f"{name}_unit": unit, "step": "check"}
    answer = phone.ask("/bench/look", {key: value.encode("utf-8", "replace") for key, value in typed.items()})
    assert answer.status_code == 200
    assert answer.json is not None
    assert set(answer.json["problems"]) <= set(FIELDS)


def test_a_run_that_is_not_taken_says_which_readings_are_meant(phone: Phone, row: dict[str, object]) -> None:
    answer = phone.ask("/bench/send", {**row, "start_temperature": "warm", "end_temperature": ""})
    assert answer.status_code == 422
    said = answer.get_json()["problem"]
    assert "START temperature: “warm” is not a number." in said
    assert "END temperature: Nothing was typed." in said


def test_a_phone_that_says_nothing_of_waiting_runs_holds_none(phone: Phone, a_class: AClass) -> None:
    for said, held in (({"waiting": "2"}, 2), ({}, 0)):
        assert phone.ask("/bench/progress", {"progress": "counting", **said}).json == {"noted": True}
        (bench,) = benches_of(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
        assert bench.waiting_to_send == held


def test_a_page_that_answers_a_form_says_that_its_fields_are_newer_than_a_kept_draft(phone: Phone) -> None:
    phone.open("/bench/run/all")
    assert 'data-plain=""' in phone.text
    phone.step(**{**READINGS, "shot_mass": "heavy"})
    assert 'data-plain="1"' in phone.text


def test_a_look_at_a_step_is_at_its_own_fields_and_the_check_alone_says_the_whole_run(phone: Phone) -> None:
    def look(step: str, **typed: str) -> dict[str, object]:
        answer: dict[str, object] = phone.ask("/bench/look", {"step": step, **typed}).get_json()
        return {name: bool(value) for name, value in answer.items()}

    nothing = {"problems": False, "asked": False, "check": False, "ready": True}
    whole = {**nothing, "asked": False, "check": True}
    assert look("start", start_temperature="19.2") == nothing
    assert look("start", start_temperature="warm") == {**nothing, "problems": True, "ready": False}
    assert look("weigh", shot_mass="3400") == {**nothing, "asked": True, "ready": False}
    assert look("check", **READINGS) == whole
    assert look("check", **{**READINGS, "end_temperature": ""}) == {**whole, "problems": True, "ready": False}
