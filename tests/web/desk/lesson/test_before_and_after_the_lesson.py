"""What a teacher does before the class comes, in any order, and what finishing looks after."""

from __future__ import annotations

import html
import re
from itertools import permutations
from typing import Any

import pytest

from app.practicals.benches.own_bench import LessonOver, ask_for_help, note_progress
from app.practicals.benches.watch import release_bench
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import PracticalDetails
from app.practicals.lesson.plan import practical_details
from app.practicals.runs.sending import enter_run
from app.web.audience import now
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader

FIELD = re.compile(r'<input id="([a-z_0-9]+)" name="\1" type="(?:text|date)"[^>]* value="([^"]*)"')


def _details(a_class: AClass) -> PracticalDetails:
    return practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)


def _use_the_planner(desk: Reader, address: str, **changes: str) -> None:
    """Store what the page proposes, with some fields changed; what it asks about is left to stand."""
    page = desk.text(f"{address}/planner")
    form = {**dict(FIELD.findall(page)), **changes, "action": "save"}
    form["seen"] = re.findall(r'name="seen" value="([0-9a-f]+)"', page)[0]
    answer = desk.post(f"{address}/planner", **form)
    if asked := re.search(r'name="stands" value="([^"]+)"', answer.get_data(as_text=True)):
        answer = desk.post(f"{address}/planner", **form, stands=html.unescape(asked[1]))
    assert answer.status_code == 302


def test_a_code_made_beforehand_lets_nobody_in_yet(desk: Reader, nobody: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}"
    assert desk.post(f"{address}/code-now").location == f"{address}/"
    code = _details(planned).join_code
    assert code
    assert _details(planned).state == "planned"
    assert desk.post(f"{address}/code-now", then="cards").location == f"{address}/cards"
    assert _details(planned).join_code == code, "pressed twice is one code"
    page = desk.text(f"{address}/cards")
    assert "The code is made. Benches can join once you open the practical on the lesson page." in page
    assert f"{code[:3]} {code[3:]}" in page
    assert "Code made" in desk.text(f"{address}/history")
    for answer in (nobody.post("/code", code=code), nobody.get(f"/j/{code}")):
        assert answer.status_code == 409
        assert "Your class is not open yet" in answer.get_data(as_text=True)
    desk.post(f"{address}/conduct/open")
    assert (_details(planned).state, _details(planned).join_code) == ("collecting", code)
    assert nobody.get(f"/j/{code}").status_code == 200, "the printed cards are good"


@pytest.mark.parametrize("order", list(permutations(("plan", "cards", "rehearse"))), ids="-".join)
def test_what_comes_before_the_lesson_can_be_done_in_any_order(
    desk: Reader, planned: AClass, order: tuple[str, ...]
) -> None:
    address = f"/desk/{planned.practical_id}"
    for step in order:
        page = desk.text(f"{address}/")
        assert "Plan each bench's mass and start" in page
        assert "Print the bench cards" in page
        assert f'action="{address}/rehearse"' in page, f"the rehearsal is there before {step}"
        if step == "plan":
            _use_the_planner(desk, address)
        elif step == "cards":
            assert "Make the code for the cards" in desk.text(f"{address}/cards")
            desk.post(f"{address}/code-now")
        else:
            desk.post(f"{address}/rehearse")
            assert class_snapshot(planned.database, planned.practical_id, actor=planned.teacher).rehearsal
            desk.post(f"{address}/rehearse/end")
    desk.post(f"{address}/conduct/open")
    assert _details(planned).state == "collecting"


def test_the_planners_runs_and_heat_sink_are_stored_and_rehearsed(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}"
    _use_the_planner(desk, address, runs_2="5", heat_sink="31")
    plan = _details(planned).plan
    assert plan.for_bench(2).runs == 5
    assert plan.heat_sink_J_per_K == 31
    stored = re.search(r'name="runs_2"[^>]* value="([0-9]+)"', desk.text(f"{address}/planner"))
    assert stored
    assert stored[1] == "5"
    desk.post(f"{address}/rehearse")
    assert len(class_snapshot(planned.database, planned.practical_id, actor=planned.teacher).runs_of(2)) == 5
    seen = re.findall(r'name="seen" value="([0-9a-f]+)"', desk.text(f"{address}/plan"))[0]
    fields = FIELD.findall(desk.text(f"{address}/plan"))
    form = {
        **dict(fields),
        "material": "lead",
        "gravity_how": "standard",
        "ends_how": "planned",
        "language": "",
        "title": "Period 5",
    }
    assert desk.post(f"{address}/plan", seen=seen, **form).status_code == 302
    assert _details(planned).plan.heat_sink_J_per_K == 31, "the plan's own form leaves it as it was"


def test_a_rehearsal_is_offered_until_the_first_phone_joins(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}"
    assert f'action="{address}/rehearse"' in desk.text(f"{address}/")
    desk.post(f"{address}/rehearse")
    for page in (f"{address}/", f"{address}/plan", "/desk/", "/department/"):
        assert "Rehearsal: simulated benches" in desk.text(page), page
    a_class.join(2)
    assert "Rehearsal: simulated benches" not in desk.text("/desk/")
    assert f'action="{address}/rehearse"' not in desk.text(f"{address}/")
    desk.post(f"{address}/rehearse")
    assert "A bench has joined" in desk.text(f"{address}/")
    assert not class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).rehearsal


def test_finishing_warns_of_what_phones_still_hold(desk: Reader, a_class: AClass) -> None:
    finish = f"/desk/{a_class.practical_id}/conduct/finish"
    first, second = a_class.join(3), a_class.join(8)
    for bench in (first, second):
        note_progress(a_class.database, actor=bench, progress="sent", now=now())
    asked = desk.post(finish).get_data(as_text=True)
    assert "and not sent" not in asked
    assert "A phone without network cannot tell" in asked
    note_progress(a_class.database, actor=first, progress="sent", waiting_to_send=2, now=now())
    note_progress(a_class.database, actor=second, progress="counting", now=now())
    asked = desk.post(finish).get_data(as_text=True)
    assert "2 runs are still on phones and not sent. Benches: 3." in asked
    assert "In the middle of a run: benches 8." in asked


def test_a_second_phone_that_has_sent_all_does_not_hide_what_the_first_one_holds(
    desk: Reader, a_class: AClass
) -> None:
    first = a_class.join(3)
    here: dict[str, Any] = {"actor": a_class.teacher, "practical_id": a_class.practical_id}
    note_progress(a_class.database, actor=first, progress="sent", waiting_to_send=2, now=now())
    release_bench(a_class.database, bench_number=3, now=now(), **here)
    second, entry = a_class.join(3), an_entry()
    enter_run(a_class.database, actor=second, key=new_key(), entry=entry, now=now(), waiting_to_send=0)
    asked = desk.post(f"/desk/{a_class.practical_id}/conduct/finish").get_data(as_text=True)
    assert "2 runs are still on phones and not sent. Benches: 3." in asked


def test_hands_go_down_when_the_practical_is_finished(desk: Reader, a_class: AClass) -> None:
    bench = a_class.join(5)
    ask_for_help(a_class.database, actor=bench, wanted=True, now=NOW)
    address = f"/desk/{a_class.practical_id}"
    desk.post(f"{address}/conduct/finish", sure="yes")
    assert "Asks for help." not in desk.text(f"{address}/")
    with pytest.raises(LessonOver):
        ask_for_help(a_class.database, actor=bench, wanted=True, now=NOW)
    desk.post(f"{address}/conduct/reopen")
    assert "Asks for help." not in desk.text(f"{address}/"), "nor does an old hand come back"
