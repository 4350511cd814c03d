"""A bench whose number is beyond the plan: the teacher sees it, and lets it in or refuses it."""

from __future__ import annotations

import pytest

from app.practicals.benches.own_bench import own_practical
from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.refusals import NotLetIn
from app.practicals.runs.sending import enter_run
from app.records.models import Bench
from tests.practicals.a_class import NOW, AClass, a_teacher, an_entry, new_key
from tests.web.desk.conftest import Reader


def waiting(a_class: AClass) -> dict[int, bool]:
    with a_class.database.reading() as session:
        return {bench.number: bench.waits_for_teacher for bench in session.query(Bench)}


def test_the_lesson_page_shows_who_waits_and_the_class_does_not_count_it(
    desk: Reader, a_class: AClass
) -> None:
    before = len(class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).benches)
    phone = a_class.join(45, waits=True)
    assert phone.waits
    with pytest.raises(NotLetIn):
        enter_run(a_class.database, actor=phone, key=new_key(), entry=an_entry(), now=NOW)
    for page in (f"/desk/{a_class.practical_id}/", f"/desk/{a_class.practical_id}/live"):
        text = desk.text(page)
        assert "Its number is beyond the plan (to 12). Its phone waits to be let in." in text
        assert ">Let in</button>" in text
        assert ">Refuse</button>" in text
        assert 'id="bench-45"' not in text
    seen = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    assert len(seen.benches) == before
    desk.post(f"/desk/{a_class.practical_id}/beyond-plan/45", answer="let-in")
    text = desk.text(f"/desk/{a_class.practical_id}/")
    assert "waits to be let in" not in text
    assert 'id="bench-45"' in text
    own_practical(a_class.database, actor=phone)
    enter_run(a_class.database, actor=phone, key=new_key(), entry=an_entry(), now=NOW)
    history = desk.text(f"/desk/{a_class.practical_id}/history")
    assert "Bench beyond the plan let in" in history


def test_a_refused_bench_is_gone_and_a_second_answer_is_no_fault(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/beyond-plan/45"
    a_class.join(45, waits=True)
    desk.post(address, answer="refuse")
    assert 45 not in waiting(a_class)
    assert desk.post(address, answer="let-in").status_code == 302
    assert "Bench 45 no longer waits." in desk.text(f"/desk/{a_class.practical_id}/")
    assert "Bench beyond the plan refused" in desk.text(f"/desk/{a_class.practical_id}/history")


@pytest.mark.parametrize("answer", ["let-in", "refuse"])
def test_a_bench_of_the_plan_is_neither_let_in_nor_refused(
    desk: Reader, a_class: AClass, answer: str
) -> None:
    a_class.join(12, waits=True)
    desk.post(f"/desk/{a_class.practical_id}/beyond-plan/12", answer=answer)
    assert waiting(a_class)[12] is False, "the last one of the plan"


def test_a_colleague_sees_who_waits_and_has_no_buttons(desk: Reader, a_class: AClass) -> None:
    a_class.join(45, waits=True)
    a_teacher(a_class.database, login="mr-lindqvist")
    colleague = Reader(desk.client.application.test_client()).let_in("mr-lindqvist")
    text = colleague.text(f"/desk/{a_class.practical_id}/")
    assert "waits to be let in" in text
    assert ">Let in</button>" not in text
    answer = colleague.post(f"/desk/{a_class.practical_id}/beyond-plan/45", answer="let-in")
    assert answer.status_code == 403
    assert waiting(a_class)[45] is True


def test_a_run_that_the_teacher_types_for_a_waiting_bench_lets_it_in(desk: Reader, a_class: AClass) -> None:
    a_class.join(45, waits=True)
    enter_run(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        bench_number=45,
        key=new_key(),
        entry=an_entry(),
        now=NOW,
    )
    assert waiting(a_class)[45] is False
