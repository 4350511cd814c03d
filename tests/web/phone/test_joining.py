"""From the code on the wall to the bench's first step."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from app.physics.materials import MATERIALS
from app.practicals.benches.watch import benches_in
from app.practicals.lesson.states import finish_practical, pause_practical, replace_join_code
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import Phone

NewPhone = Callable[[], Phone]


def test_the_first_page_asks_for_the_code_on_the_wall_and_shows_the_benches(new_phone: NewPhone) -> None:
    page = new_phone().open("/").get_data(as_text=True)
    assert "<h1>Find your bench</h1>" in page
    assert '<label for="code">Code on the wall</label>' in page
    assert ">Show the benches</button>" in page


def test_a_typed_code_and_the_link_lead_to_the_same_page(new_phone: NewPhone, code: str) -> None:
    phone = new_phone()
    phone.send("/code", {"code": f" {code[:3].lower()}-{code[3:]} "})
    assert phone.path == f"/j/{code}"
    assert "Which bench are you at?" in phone.text


@pytest.mark.parametrize("typed", ["WRONG77", "x" * 10_000, "<script>alert(1)</script>", "\x00", "🙂" * 50])
def test_a_wrong_code_gets_a_sentence_and_is_kept_in_the_field(
    new_phone: NewPhone, code: str, typed: str
) -> None:
    phone = new_phone()
    answer = phone.send("/code", {"code": typed})
    assert answer.status_code == 404
    assert "No class is open under that code" in phone.text
    assert "<script>alert" not in answer.get_data(as_text=True)
    if typed == "WRONG77":
        assert 'value="WRONG77"' in phone.text


def test_a_code_that_was_not_typed_is_asked_for_and_is_no_guess(new_phone: NewPhone, code: str) -> None:
    phone = new_phone()
    for _ in range(25):
        assert phone.send("/code", {"code": "  "}).status_code == 422
    assert "Nothing was typed. Type the code on the wall" in phone.text
    assert phone.send("/code", {"code": "WRONG77"}).status_code == 404


def test_a_finished_class_lets_nobody_in_who_was_not_there(
    new_phone: NewPhone, a_class: AClass, code: str
) -> None:
    joined = new_phone()
    joined.join(code, 7)
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    assert new_phone().open(f"/j/{code}").status_code == 404
    joined.open(f"/j/{code}")
    assert joined.path == "/bench/runs", "who is in already comes back to its runs"


def test_a_paused_class_says_so(new_phone: NewPhone, a_class: AClass, code: str) -> None:
    pause_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    phone = new_phone()
    assert phone.open(f"/j/{code}").status_code == 409
    assert "paused the class" in phone.text


@pytest.mark.parametrize("number", ["0", "100", "seven", "", "-1", "9" * 5000, "2.5"])
def test_a_number_that_is_no_bench_is_refused_in_words(new_phone: NewPhone, code: str, number: str) -> None:
    phone = new_phone()
    assert phone.send(f"/j/{code}", {"number": number}).status_code == 422
    assert "between 1 and 99" in phone.text


def test_the_safety_step_follows_the_metal_and_is_asked_once_for_a_bench(
    new_phone: NewPhone, a_class: AClass, code: str
) -> None:
    phone = new_phone()
    phone.send(f"/j/{code}", {"number": "7"})
    assert phone.path == "/bench/safety"
    for caution in MATERIALS["lead"].safety:
        assert str(caution) in phone.text
    phone.open("/bench/run/weigh")
    assert phone.path == "/bench/safety"
    phone.send("/bench/safety", {})
    assert phone.path == "/bench/run/weigh"
    phone.open("/bench/safety")
    assert phone.path == "/bench/run/weigh", "it was read"
    phone.open("/bench/safety?again=1")
    assert phone.path == "/bench/safety"
    with a_class.database.reading() as session:
        key = benches_in(session, a_class.practical_id)[0].bench_key
    second = new_phone()
    second.send(f"/j/{code}", {"number": "7"})
    assert "Second phone for bench 7?" in second.text
    assert second.send(f"/j/{code}", {"number": "7", "key": "33333"}).status_code == 422
    second.send(f"/j/{code}", {"number": "7", "key": key})
    assert second.path == "/bench/run/weigh"


def test_a_phone_that_scans_again_carries_on(phone: Phone, code: str) -> None:
    phone.open(f"/j/{code}")
    assert phone.path == "/bench/run/weigh"
    cookie = phone.client.get_cookie("plumbfall-form")
    assert cookie is not None
    assert cookie.expires is not None, "it outlives the browser's window"


def test_a_phone_that_scanned_a_new_code_is_let_in_by_it_also_when_the_class_is_finished(
    phone: Phone, a_class: AClass
) -> None:
    at: dict[str, Any] = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    newer = replace_join_code(a_class.database, **at).join_code
    phone.open(f"/j/{newer}")
    assert phone.path == "/bench/run/weigh"
    finish_practical(a_class.database, **at)
    phone.open(f"/j/{newer}")
    assert phone.path == "/bench/runs"


def test_a_wrong_bench_number_can_be_put_right_until_a_run_is_sent(phone: Phone) -> None:
    phone.step(shot_mass="340")
    phone.send("/bench/move", {"number": "8"})
    assert "This phone is now at bench 8" in phone.text
    phone.send("/bench/safety", {})
    phone.open("/bench/run/weigh")
    assert phone.form()["shot_mass"] == "340", "what was typed comes along"
    assert phone.send("/bench/move", {"number": "800"}).status_code == 422


def test_a_hand_up_is_seen_and_taken_down(phone: Phone, a_class: AClass) -> None:
    def asked() -> bool:
        with a_class.database.reading() as session:
            return benches_in(session, a_class.practical_id)[0].asked_for_help_at is not None

    phone.send("/bench/help", {"wanted": "yes"})
    assert asked()
    assert "sees that you need help" in phone.text
    phone.send("/bench/help", {"wanted": "no"})
    assert not asked()


def test_a_phone_of_no_bench_is_led_to_the_code_and_told_why(new_phone: NewPhone) -> None:
    phone = new_phone()
    phone.open("/bench/runs")
    assert phone.path == "/"
    assert "Join again with the code" in phone.text


def test_the_language_is_switched_and_stays(new_phone: NewPhone) -> None:
    phone = new_phone()
    phone.send("/language", {"language": "ar", "then": "/"})
    assert 'dir="rtl"' in phone.text
    phone.send("/language", {"language": "xx", "then": "//elsewhere.example/"}, follow=False)
    assert phone.page is not None
    assert phone.page.headers["Location"] == "/"


def test_many_wrong_codes_are_asked_to_slow_down_and_the_right_one_still_opens(
    new_phone: NewPhone, code: str
) -> None:
    phone = new_phone()
    answers = [phone.open(f"/j/WRONG{number:02}") for number in range(22)]
    assert answers[0].status_code == 404
    assert answers[-1].status_code == 429
    assert int(answers[-1].headers["Retry-After"]) >= 1
    assert phone.open(f"/j/{code}").status_code == 200


def test_a_wrong_bench_key_stays_in_its_field(phone: Phone, new_phone: NewPhone, code: str) -> None:
    second = new_phone()
    assert second.send(f"/j/{code}", {"number": "7", "key": "00000"}).status_code == 422
    assert second.form()["key"] == "00000"
    assert 'aria-invalid="true"' in second.text
    assert "That is not the key of bench 7" in second.text


def test_a_bench_key_is_asked_for_at_first_and_missed_only_once_its_field_was_there(
    phone: Phone, new_phone: NewPhone, code: str
) -> None:
    second = new_phone()
    assert second.send(f"/j/{code}", {"number": "7"}).status_code == 200
    assert "Bench key" in second.text
    assert "Nothing was typed" not in second.text
    assert second.send(f"/j/{code}", {"number": "7", "key": " "}).status_code == 422
    assert "Nothing was typed. Type the bench key" in second.text


def test_a_wrong_key_is_called_so_where_a_bench_number_is_put_right(
    phone: Phone, new_phone: NewPhone, code: str
) -> None:
    new_phone().join(code, 8)
    phone.send("/bench/move", {"number": "8"})
    assert "Another phone already enters bench 8's readings" in phone.text
    phone.send("/bench/move", {"number": "8", "key": "00000"})
    assert "That is not the key of bench 8" in phone.text
