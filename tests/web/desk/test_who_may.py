"""What a teacher reaches through the own practicals, a head through colleagues'; the walk over all routes is
in `tests/web/test_who_may_what.py`."""

from __future__ import annotations

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.runs.sending import enter_run
from app.web.desk.plan.form import form_of
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher, an_entry, new_key
from tests.web.desk.conftest import Reader

RUN = {
    "bench_number": "1",
    "shot_mass": "340",
    "tube_length": "100",
    "end_allowance": "5",
    "settled_depth": "3",
    "inversions": "50",
    "start_temperature": "19.2",
    "end_temperature": "21.4",
    "reason": "for the test",
    "right_number": "5",
    "run_revision": "1",
    "sure": "yes",
}


@pytest.fixture
def run_id(a_class: AClass) -> int:
    """A run of bench 1."""
    bench = a_class.join(1)
    return enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW).run_id


def full_form(a_class: AClass) -> dict[str, str]:
    """A form with which every route of the desk would do something."""
    return {
        **form_of(a_class.practical.plan).typed,
        **RUN,
        "title": "Period 4",
        "key": new_key(),
        "action": "save",
        "what": "forward",
        **{"answer": "let-in", "waiting": "count", "back": "lesson"},
        "bench": "1:1.1",
        **{"tubes_1": "4", "length_1": "1 m", "step_1": "0.1", "caps": "2 cm", "most_mass": "1 kg"},
        **{"minutes": "30", "minutes_beside": "4", "tips_per_minute": "30", "most_inversions": "100"},
        "heat_sink": "20",
        **{"to": "spread", "paused": "yes", "active": "no", "retired": "yes", "role": "head"},
    }


def _unchanged(a_class: AClass, before: object) -> bool:
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    return (snapshot.practical, snapshot.runs, snapshot.benches) == before


def _now(a_class: AClass) -> object:
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    return snapshot.practical, snapshot.runs, snapshot.benches


def test_a_run_of_another_practical_is_not_reached_through_ones_own(
    desk: Reader, a_class: AClass, run_id: int
) -> None:
    own = plan_practical(a_class.database, actor=a_class.teacher, plan=a_plan(title="other"), now=NOW)
    open_practical(a_class.database, actor=a_class.teacher, practical_id=own.practical_id, now=NOW)
    before = _now(a_class)
    for way in ("decide", "correct"):
        address = f"/desk/{own.practical_id}/run/{run_id}/{way}"
        assert desk.post(address, **{**full_form(a_class), "action": "set-aside"}).status_code == 404
    assert desk.get(f"/desk/{own.practical_id}/run/{run_id}/correct").status_code == 404
    assert "There is no such page." in desk.get("/desk/nowhere").get_data(as_text=True)
    assert _unchanged(a_class, before)


def test_the_head_may_run_a_colleagues_practical(nobody: Reader, a_class: AClass) -> None:
    a_teacher(a_class.database, login="head", is_head=True)
    head = nobody.sign_in("head")
    assert head.post(f"/desk/{a_class.practical_id}/conduct/pause").status_code == 302
    assert (
        class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).practical.state
        == "paused"
    )


def test_the_department_page_shows_only_ones_own_department(nobody: Reader, a_class: AClass) -> None:
    a_teacher(a_class.database, login="mr-ito")
    a_teacher(a_class.database, login="mrs-sole", department="Chemistry", is_head=True)
    assert "Period 4" in nobody.sign_in("mr-ito").text("/department/")
    assert "Period 4" in nobody.text("/department/?words=lead+period")
    assert "No practical fits what you asked for" in nobody.text("/department/?words=copper")
    assert "Period 4" not in nobody.sign_in("mrs-sole").text("/department/")
