"""Addresses that the phone's pages never lead to, and what comes too late."""

from __future__ import annotations

from app.practicals.lesson.states import finish_practical
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import Phone


def test_a_step_or_a_figure_that_is_not_there_is_not_found(phone: Phone) -> None:
    for address in (
        "/bench/run/nowhere",
        "/bench/class/1/spread.svg?language=xx&room=light",
        "/bench/class/1/spread.svg?language=en&room=nowhere",
    ):
        assert phone.client.get(address).status_code == 404, address


def test_a_hand_that_goes_up_after_the_lesson_is_told_that_it_is_over(phone: Phone, a_class: AClass) -> None:
    phone.open("/bench/ours")
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    phone.send("/bench/help", {"wanted": "yes"})
    assert "This practical is finished. Ask your teacher in person." in phone.text
