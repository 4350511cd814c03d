"""A phone that comes again finds its bench: by the address, the QR, the code; also once the class is over."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.practicals.benches.watch import let_in, refuse
from app.practicals.lesson.states import finish_practical, pause_practical, replace_join_code
from app.records.models import Bench
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import Phone
from tests.web.phone.test_run_without_script import all_at_once

NewPhone = Callable[[], Phone]
Answer = Callable[[int, str], None]
STATES = {"collecting": None, "paused": pause_practical, "finished": finish_practical}


@pytest.fixture
def answer(a_class: AClass) -> Answer:
    """The teacher's answer to a bench that waits."""

    def give(number: int, said: str) -> None:
        act = {"let-in": let_in, "refuse": refuse}[said]
        practical_id, teacher = a_class.practical_id, a_class.teacher
        act(a_class.database, actor=teacher, practical_id=practical_id, bench_number=number, now=NOW)

    return give


def bring_to(state: str, a_class: AClass) -> None:
    if move := STATES[state]:
        move(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)


@pytest.mark.parametrize("state", STATES)
def test_the_address_says_which_bench_this_phone_is_and_leads_on(
    phone: Phone, a_class: AClass, state: str
) -> None:
    all_at_once(phone)
    phone.step("send")
    bring_to(state, a_class)
    phone.open("/")
    assert "<h1>You are bench 7</h1>" in phone.text
    assert 'href="/bench/"' in phone.text
    assert 'name="code"' in phone.text, "another class has another code"
    phone.open("/bench/")
    assert phone.path == "/bench/runs"


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("way", ["code", "link", "card"])
def test_qr_and_code_lead_a_joined_phone_on_whatever_the_class_is_doing(
    phone: Phone, a_class: AClass, code: str, state: str, way: str
) -> None:
    all_at_once(phone)
    phone.step("send")
    bring_to(state, a_class)
    if way == "code":
        phone.send("/code", {"code": code.lower()})
    else:
        phone.open(f"/j/{code}" + ("?bench=7" if way == "card" else ""))
    assert phone.path == "/bench/runs"


def test_a_code_that_was_replaced_leads_the_phones_on_that_joined_with_it_and_nobody_else(
    phone: Phone, new_phone: NewPhone, a_class: AClass, code: str
) -> None:
    replace_join_code(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    phone.open(f"/j/{code}")
    assert phone.path == "/bench/run/weigh"
    assert new_phone().open(f"/j/{code}").status_code == 404


def test_a_finished_class_still_lets_no_new_phone_in(
    phone: Phone, new_phone: NewPhone, a_class: AClass, code: str
) -> None:
    bring_to("finished", a_class)
    assert new_phone().open(f"/j/{code}").status_code == 404
    assert phone.open("/j/WRONG77").status_code == 404
    assert "No class is open under that code" in phone.text
    assert "You are bench 7" in phone.text, "and its own bench is one tap away"


def test_a_cards_qr_asks_for_one_tap(new_phone: NewPhone, code: str) -> None:
    phone = new_phone()
    phone.open(f"/j/{code}?bench=12")
    assert "<h1>You are bench 12?</h1>" in phone.text
    assert phone.text.count('name="number"') == 1
    phone.send(f"/j/{code}", {"number": "12"})
    assert phone.path == "/bench/safety"


@pytest.mark.parametrize("named", ["", "0", "100", "seven", "1'--", "٣", "07"])
def test_a_link_that_names_no_bench_shows_them_all(new_phone: NewPhone, code: str, named: str) -> None:
    phone = new_phone()
    phone.open(f"/j/{code}", query_string={"bench": named})
    assert "Which bench are you at?" in phone.text


def test_a_bench_beyond_the_plan_waits_and_is_let_in(
    new_phone: NewPhone, a_class: AClass, code: str, answer: Answer
) -> None:
    phone = new_phone()
    phone.send(f"/j/{code}", {"number": "13"})
    assert phone.path == "/bench/waiting"
    assert "Bench 13 waits for your teacher" in phone.text
    for path in ("/bench/run/weigh", "/bench/runs", "/bench/safety", "/bench/"):
        phone.open(path)
        assert phone.path == "/bench/waiting", path
    held = phone.ask("/bench/send", {"key": "ab" * 16, "bench": "1"})
    assert held.status_code == 409, "the phone keeps its row"
    assert "waits for your teacher" in held.get_json()["problem"]
    answer(13, "let-in")
    phone.open("/bench/waiting")
    assert phone.path == "/bench/safety"
    phone.client.delete_cookie("plumbfall-bench")
    phone.open("/")
    assert "did not let bench 13 in" not in phone.text


def test_a_bench_that_is_refused_is_told_so_once_and_may_join_under_its_own_number(
    new_phone: NewPhone, a_class: AClass, code: str, answer: Answer
) -> None:
    phone = new_phone()
    phone.send(f"/j/{code}", {"number": "31"})
    answer(31, "refuse")
    phone.open("/bench/waiting")
    assert phone.path == "/"
    assert "did not let bench 31 in" in phone.text
    phone.open("/")
    assert "did not let" not in phone.text
    phone.send(f"/j/{code}", {"number": "3"})
    assert phone.path == "/bench/safety"
    with a_class.database.reading() as session:
        assert [bench.number for bench in session.query(Bench)] == [3]


def test_a_bench_that_waits_under_a_wrong_number_puts_it_right_itself(
    new_phone: NewPhone, a_class: AClass, code: str
) -> None:
    phone = new_phone()
    phone.send(f"/j/{code}", {"number": "31"})
    assert phone.send("/bench/move", {"number": "310"}).status_code == 422
    assert "Bench 31 waits for your teacher" in phone.text
    assert "between 1 and 99" in phone.text
    phone.send("/bench/move", {"number": "3"})
    assert phone.path == "/bench/safety"
    with a_class.database.reading() as session:
        assert [(bench.number, bench.waits_for_teacher) for bench in session.query(Bench)] == [(3, False)]
    phone.client.delete_cookie("plumbfall-bench")
    phone.open("/")
    assert "did not let bench 31 in" not in phone.text, "nobody refused it"


def test_wrong_keys_of_one_phone_keep_no_other_out(
    phone: Phone, new_phone: NewPhone, a_class: AClass, code: str
) -> None:
    with a_class.database.reading() as session:
        key = session.query(Bench).one().bench_key
    guesser, second = new_phone(), new_phone()
    for _ in range(12):
        guesser.send(f"/j/{code}", {"number": "7", "key": "00000"})
        assert "That is not the key of bench 7" in guesser.text
    guesser.send(f"/j/{code}", {"number": "7", "key": key})
    assert "Too many wrong keys were tried for bench 7" in guesser.text
    second.send(f"/j/{code}", {"number": "7", "key": key})
    assert second.path == "/bench/safety" or second.path.startswith("/bench/run")


def test_a_finished_class_offers_no_further_run_and_no_advice_for_one(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone)
    phone.step("send")
    phone.open("/bench/runs")
    assert "Next run" in phone.text
    assert "A second one can." in phone.text
    bring_to("finished", a_class)
    phone.open("/bench/runs")
    assert "Next run" not in phone.text
    assert "A second one can." not in phone.text
    phone.open("/bench/ours")
    assert "Back to the run" not in phone.text


def test_a_run_that_comes_after_the_end_is_told_who_can_let_it_in(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    bring_to("finished", a_class)
    held = phone.ask("/bench/send", row)
    assert held.status_code == 409
    assert "ask the teacher to reopen it" in held.get_json()["problem"]
    assert held.get_json()["over"] is True
