"""A run that came too fast: its phone says that it waits for the teacher, and when it counts."""

from __future__ import annotations

from app.practicals.runs.too_fast import decide_waiting
from app.records.choices import DecisionAction
from tests.practicals.a_class import NOW, AClass, new_key
from tests.web.phone.phone import Phone, on_both_databases


@on_both_databases
def test_the_phone_says_what_waits_and_what_counts(
    phone: Phone, row: dict[str, object], a_class: AClass
) -> None:
    answers = [phone.ask("/bench/send", row | {"key": new_key()}).get_json() for _ in range(5)]
    assert [answer["saved"]["waits"] for answer in answers] == [False, False, False, True, True]
    assert "Run 3 waits for your teacher" not in answers[2]["how"]
    assert "Run 4 waits for your teacher: it came sooner than a run can be made." in answers[3]["how"]
    asked = {"X-Plumbfall": "script"}
    assert phone.client.get("/bench/waiting", headers=asked).get_json() == {"waits": False, "runs": [4, 5]}
    phone.open("/bench/runs")
    assert phone.text.count(">waits for your teacher</span>") == 2
    assert 'data-waits="4 5"' in phone.text
    assert "Mean of your runs" in phone.text
    decide_waiting(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        bench_number=7,
        action=DecisionAction.COUNTED,
        reason="they were offline",
        up_to=4,
        now=NOW,
    )
    assert phone.client.get("/bench/waiting", headers=asked).get_json()["runs"] == [5]
    phone.open("/bench/runs")
    assert phone.text.count(">waits for your teacher</span>") == 1
    assert phone.text.count(">your teacher lets it count</span>") == 1


def test_a_run_sent_without_script_says_it_too(phone: Phone) -> None:
    for _ in range(4):
        phone.open("/bench/run/all")
        phone.step("check", shot_mass="340", tube_length="100", end_allowance="5", inversions="50",
                   start_temperature="19.2", end_temperature="21.4")  # fmt: skip
        phone.step("send")
    assert "Saved as run 4." in phone.text
    assert "Run 4 waits for your teacher" in phone.text
