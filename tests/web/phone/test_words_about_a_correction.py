"""The one free text of a bench: short, without names, and not lost where it is too long."""

from __future__ import annotations

from tests.practicals.a_class import AClass
from tests.web.phone.phone import Phone
from tests.web.phone.test_run_without_script import all_at_once, stored


def test_what_a_bench_writes_about_a_correction_is_short_and_nothing_typed_is_lost(
    phone: Phone, a_class: AClass
) -> None:
    all_at_once(phone)
    phone.step("send")
    path = f"/bench/runs/{stored(a_class)[0].run_id}"
    assert 'maxlength="80"' in phone.open(path).get_data(as_text=True)
    assert "no names" in phone.text
    long = "we read the balance while somebody still leaned on the table, and only saw it later on"
    answer = phone.send(path, {**phone.form(), "shot_mass": "345", "reason": long})
    assert answer.status_code == 422
    assert "Say in at most 80 characters what was wrong, without names." in phone.text
    assert (phone.form()["reason"], phone.form()["shot_mass"]) == (long, "345")
    assert [run.version for run in stored(a_class)] == [1]
    phone.send(path, {**phone.form(), "reason": long[:80]})
    assert "Run 1 is corrected" in phone.text
