"""One run by post and reload: steps, one page, bad input, correcting, sending twice."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.practicals.benches.watch import benches_of
from app.practicals.board.reveal import show_bench_results, step_board
from app.practicals.lesson.states import finish_practical, pause_practical
from app.practicals.runs.reading import RunDetails, runs_in
from app.web.phone.typed import FIELDS
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import READINGS, Phone, on_both_databases


def stored(a_class: AClass) -> list[RunDetails]:
    with a_class.database.reading() as session:
        return runs_in(session, a_class.practical_id)


def all_at_once(phone: Phone, **changes: str) -> None:
    """The one-page form filled in, up to the check."""
    phone.open("/bench/run/all")
    phone.step(**{**READINGS, **changes})


@on_both_databases
def test_step_by_step_in_the_order_of_the_work(phone: Phone, a_class: AClass) -> None:
    phone.open("/bench/")
    seen = [phone.path]
    for typed in (
        {"shot_mass": "340"},
        {},
        {"start_temperature": "19,2"},
        {"inversions": "50"},
        {"end_temperature": "21,4"},
    ):
        phone.step(**typed)
        seen.append(phone.path)
    assert seen == [f"/bench/run/{step}" for step in ("weigh", "tube", "start", "count", "end", "check")]
    assert "2.2 K" in phone.text
    assert "falls like these usually give" in phone.text
    assert stored(a_class) == []
    benches = benches_of(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    assert not any(bench.waiting_to_send for bench in benches), "a page without script keeps no run back"
    phone.step("send")
    assert phone.path == "/bench/how/1"
    assert "Saved as run 1." in phone.text
    (run,) = stored(a_class)
    assert (run.entry.start_temperature.raw, run.entry.end_temperature.raw) == ("19,2", "21,4")
    assert run.start_read_at is not None


def test_the_expected_warming_is_not_shown_before_the_end_is_read(phone: Phone) -> None:
    phone.open("/bench/")
    for typed in ({"shot_mass": "340"}, {}, {"start_temperature": "19.2"}, {"inversions": "50"}):
        phone.step(**typed)
        assert "falls like these usually give" not in phone.text


def test_back_loses_nothing_not_even_what_is_wrong(phone: Phone) -> None:
    phone.open("/bench/")
    phone.step(shot_mass="340")
    phone.step("back", tube_length="a metre")
    assert phone.path == "/bench/run/weigh"
    assert phone.form()["shot_mass"] == "340"
    phone.step()
    assert phone.form()["tube_length"] == "a metre"


def test_the_phone_may_be_closed_between_steps(phone: Phone) -> None:
    phone.open("/bench/")
    phone.step(shot_mass="340")
    phone.step()
    phone.step(start_temperature="19.2")
    phone.open("/bench/run/count")
    assert phone.form()["start_temperature"] == "19.2"


def test_steps_and_one_page_hand_over_what_was_typed(phone: Phone) -> None:
    phone.open("/bench/")
    phone.step("all", shot_mass="340")
    assert phone.path == "/bench/run/all"
    assert phone.form()["shot_mass"] == "340"
    phone.step("steps", end_temperature="21.4")
    assert phone.form()["end_temperature"] == "21.4"


@on_both_databases
def test_the_next_run_carries_over_what_does_not_change(phone: Phone) -> None:
    all_at_once(phone)
    phone.step("send")
    phone.open("/bench/run/start")
    form = phone.form()
    assert (form["shot_mass"], form["tube_length"], form["end_allowance"]) == ("340", "100", "5")
    assert (form["start_temperature"], form["inversions"], form["end_temperature"]) == ("", "", "")
    assert "As in your last run" in phone.text


TEXTS = {
    "letters": ("shot_mass", "heavy", "is not a number"),
    "empty": ("shot_mass", "", "Nothing was typed"),
    "two decimal marks": ("shot_mass", "3.4.0", "more than one decimal mark"),
    "grouping": ("shot_mass", "1,234.5", "Do not group the digits"),
    "negative mass": ("shot_mass", "−340", "cannot be negative"),
    "zero inversions": ("inversions", "0", "nothing has fallen"),
    "2.5 inversions": ("inversions", "2.5", "not a whole number"),
    "10^9 inversions": ("inversions", "1000000000", "more than a lesson"),
    "10^9 grams": ("shot_mass", "1000000000", "more shot than anyone can tip"),
    "power of ten": ("shot_mass", "10^9", "Write the number out"),
    "10 kB": ("shot_mass", "9" * 10_000, "too long"),
    "nul": ("tube_length", "\x00", "is not a number"),
    "wrong unit": ("tube_length", "100 g", "does not fit here"),
    "no fall": ("end_allowance", "100", "less than the tube length"),
    "decimal mark forgotten": ("room_temperature", "204", "Check the decimal mark"),
    "hot": ("end_temperature", "1e3", "Write the number out"),
}


@pytest.mark.parametrize(("field", "text", "sentence"), TEXTS.values(), ids=TEXTS.keys())
def test_an_impossible_reading_gets_a_sentence_by_its_field_and_stays_as_typed(
    phone: Phone, a_class: AClass, field: str, text: str, sentence: str
) -> None:
    for path in ("/bench/run/all", f"/bench/run/{FIELDS[field].step}"):
        phone.open(path)
        answer = phone.step(**{**READINGS, field: text})
        if path.endswith("all") or sentence != "less than the tube length":
            assert answer.status_code == 422, path
            assert sentence in phone.text
            assert f'id="{field}-problem">' in phone.text
            assert f'href="#{field}"' in phone.text
            assert phone.form()[field] == text.replace("\x00", "\ufffd") or "\x00" in text
    assert stored(a_class) == []


@on_both_databases
def test_start_above_end_is_asked_about_once_then_kept_and_stored(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone, start_temperature="21.4", end_temperature="19.2")
    assert "are the two swapped?" in phone.text
    assert phone.page is not None
    assert phone.page.status_code == 200
    phone.step("send")
    assert stored(a_class) == [], "an open question is answered first"
    phone.step(as_typed="end_temperature")
    assert "are the two swapped?" not in phone.text
    phone.step("send")
    assert len(stored(a_class)) == 1


def test_an_unlikely_reading_is_asked_about_at_its_own_step(phone: Phone) -> None:
    phone.open("/bench/run/weigh")
    phone.step(shot_mass="3400")
    assert phone.path == "/bench/run/weigh"
    assert "did you mean 340 g?" in phone.text
    phone.step(as_typed="shot_mass")
    assert phone.path == "/bench/run/tube"


def test_kept_readings_are_asked_about_again_when_they_change(phone: Phone) -> None:
    phone.open("/bench/run/weigh")
    phone.step(shot_mass="3400")
    phone.step(as_typed="shot_mass")
    phone.open("/bench/run/weigh")
    phone.step(shot_mass="3.4")
    assert "did you mean" in phone.text


@pytest.mark.parametrize(("text", "unit", "kilograms"), [("0,34", "kg", "0.34"), ("340 g", "kg", "0.340")])
def test_units_are_taken_as_chosen_and_a_typed_unit_wins(
    phone: Phone, a_class: AClass, text: str, unit: str, kilograms: str
) -> None:
    all_at_once(phone, shot_mass=text, shot_mass_unit=unit)
    phone.step("send")
    assert str(stored(a_class)[0].entry.shot_mass.value.normalize()) == kilograms.rstrip("0")


def test_a_reading_in_fahrenheit_is_shown_in_celsius_before_it_is_sent(phone: Phone) -> None:
    all_at_once(phone, start_temperature="67.1 °F", end_temperature="70,9 °F")
    assert "67.1 °F = 19.50 °C" in phone.text
    assert "70.9 °F = 21.61 °C" in phone.text


@on_both_databases
def test_a_repeated_send_stores_one_run(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone)
    form = {**phone.form(), "go": "send"}
    phone.send("/bench/run/check", form)
    phone.send("/bench/run/check", form)
    assert "Saved as run 1." in phone.text
    assert len(stored(a_class)) == 1


@on_both_databases
def test_a_paused_and_a_finished_class_keep_the_readings_in_the_form(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone)
    pause_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    phone.step("send")
    assert "paused the class" in phone.text
    assert phone.form()["end_temperature"] == "21.4"
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    phone.step("send")
    assert "This practical is finished" in phone.text
    assert phone.form()["end_temperature"] == "21.4"
    assert stored(a_class) == []


@on_both_databases
def test_a_run_is_corrected_and_the_earlier_readings_stay(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone)
    phone.step("send")
    run_id = stored(a_class)[0].run_id
    phone.open(f"/bench/runs/{run_id}")
    assert phone.send(phone.path, {**phone.form(), "shot_mass": "heavy"}).status_code == 422
    assert phone.form()["shot_mass"] == "heavy"
    phone.send(phone.path, {**phone.form(), "shot_mass": "345", "reason": "misread the balance"})
    assert "Run 1 is corrected" in phone.text
    (run,) = stored(a_class)
    assert (run.entry.shot_mass.raw, run.version) == ("345", 2)
    assert 'class="tag"' in phone.text


def test_a_correction_that_came_too_late_shows_what_the_records_hold_now(
    phone: Phone, a_class: AClass
) -> None:
    all_at_once(phone)
    phone.step("send")
    path = f"/bench/runs/{stored(a_class)[0].run_id}"
    phone.open(path)
    opened = phone.form()
    assert "In the records now" not in phone.text
    phone.send(path, {**opened, "shot_mass": "0.345", "shot_mass_unit": "kg"})
    assert phone.send(path, {**opened, "key": "ab" * 16, "end_temperature": "21.6"}).status_code == 409
    assert "changed by someone else" in phone.text
    assert "In the records now: 0.345 kg" in phone.text
    assert "In the records now: 21.4 °C" in phone.text
    assert phone.text.count("In the records now") == 2
    assert 'href="#run"' not in phone.text


def test_a_run_begun_in_a_class_that_takes_none_is_told_so_at_once(phone: Phone, a_class: AClass) -> None:
    who = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    pause_practical(a_class.database, **who)  # type: ignore[arg-type]
    phone.open("/bench/run/weigh")
    assert "The teacher has paused the class." in phone.text
    finish_practical(a_class.database, **who)  # type: ignore[arg-type]
    phone.open("/bench/run/all")
    assert "no more runs are taken" in phone.text


@on_both_databases
def test_another_benchs_run_cannot_be_opened_or_corrected(
    phone: Phone, new_phone: Callable[[], Phone], a_class: AClass, code: str
) -> None:
    all_at_once(phone)
    phone.step("send")
    run_id = stored(a_class)[0].run_id
    other = new_phone()
    other.join(code, 8)
    assert other.open(f"/bench/runs/{run_id}").status_code == 404
    assert "no such run at this bench" in other.text
    assert other.send(f"/bench/runs/{run_id}", {**READINGS, "key": "ab" * 16}).status_code == 404
    assert stored(a_class)[0].version == 1


@on_both_databases
def test_the_class_result_is_on_the_phone_only_as_far_as_the_teacher_reveals_it(
    phone: Phone, a_class: AClass
) -> None:
    all_at_once(phone)
    phone.step("send")
    who = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}

    def shown() -> str:
        phone.open("/bench/runs")
        return phone.text

    assert "The class value is" not in shown()
    step_board(a_class.database, to="spread", **who)  # type: ignore[arg-type]
    assert "The class value is" in shown()
    assert "accepted" not in shown()
    step_board(a_class.database, to="percent error", **who)  # type: ignore[arg-type]
    assert "above the accepted 128 J/(kg·K)" in shown()
    show_bench_results(a_class.database, shown=False, **who)  # type: ignore[arg-type]
    assert "The class value is" not in shown()


@pytest.mark.parametrize(
    ("language", "start", "warming"), [("de", "19,20 °C", "2,20 K"), ("en", "19.20 °C", "2.20 K")]
)
def test_sent_runs_show_one_decimal_mark_however_they_were_typed(
    phone: Phone, language: str, start: str, warming: str
) -> None:
    all_at_once(phone, start_temperature="１９,20°C", end_temperature="21.4", inversions="５０")
    phone.step("send")
    phone.open("/bench/runs", headers={"Accept-Language": language})
    assert f"{start} → " in phone.text
    assert f": {50}<br>" in phone.text
    assert warming in phone.text
