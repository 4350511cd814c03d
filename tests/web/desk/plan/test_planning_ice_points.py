"""Ice-point readings in the planner's table of benches, where the kit's thermometers differ."""

from __future__ import annotations

import html
import re
from decimal import Decimal

from app.practicals.lesson.plan import copy_practical, practical_details
from tests.practicals.a_class import NOW, AClass
from tests.web.desk.conftest import Reader
from tests.web.desk.plan.test_planning_each_bench import KIT, _fields

ALIKE = {**KIT, "step_2": "0.1"}


def _stored(planned: AClass) -> dict[int, Decimal | None]:
    found = practical_details(planned.database, actor=planned.teacher, practical_id=planned.practical_id)
    return {line.number: line.ice_point_C for line in found.plan.bench_plans}


def _save(desk: Reader, planned: AClass, fields: dict[str, str]) -> str:
    """Use the plan; what is asked about first is answered with all the same."""
    address = f"/desk/{planned.practical_id}/planner"
    answer = desk.post(address, **fields, action="save")
    page = html.unescape(answer.get_data(as_text=True))
    if answer.status_code == 200:
        answer = desk.post(address, **{**fields, **_fields(page)}, action="save")
    assert answer.status_code == 302, answer.status_code
    return page


def _proposed(desk: Reader, planned: AClass, **kit: str) -> str:
    return desk.post(f"/desk/{planned.practical_id}/planner", **kit, action="propose").get_data(as_text=True)


def test_readings_are_typed_beside_the_benches_and_stay_with_them(desk: Reader, planned: AClass) -> None:
    page = _proposed(desk, planned, **KIT)
    assert "so the warming stays as read" in page
    _save(desk, planned, {**_fields(page), "ice_7": "0,4", "ice_8": "31.1 °F"})
    assert _stored(planned) == {**dict.fromkeys(range(1, 7)), 7: Decimal("0.4"), 8: Decimal("-0.5")}
    page = desk.text(f"/desk/{planned.practical_id}/planner")
    assert (_fields(page)["ice_7"], _fields(page)["ice_8"]) == ("0.4", "-0.5")
    _save(desk, planned, {**_fields(page), "mass_1": "350"})
    assert _stored(planned)[7] == Decimal("0.4"), "another number changed"
    copied = copy_practical(
        planned.database,
        actor=planned.teacher,
        practical_id=planned.practical_id,
        title="Period 5",
        held_on=NOW.date(),
        now=NOW,
    )
    assert copied.plan.for_bench(7).ice_point_C == Decimal("0.4"), "the plan's, as the step is"


def test_a_reading_typed_and_not_yet_used_outlives_another_proposal(desk: Reader, planned: AClass) -> None:
    fields = _fields(_proposed(desk, planned, **KIT))
    again = _proposed(desk, planned, **{**fields, "ice_7": "0.4", "minutes": "25"})
    assert _fields(again)["ice_7"] == "0.4"


def test_alike_thermometers_are_not_asked_about_but_lose_no_reading(desk: Reader, planned: AClass) -> None:
    page = _proposed(desk, planned, **ALIKE)
    assert "melting ice" not in page
    assert not [name for name in _fields(page) if name.startswith("ice")]
    _save(desk, planned, {**_fields(_proposed(desk, planned, **KIT)), "ice_7": "0.4"})
    fields = _fields(desk.text(f"/desk/{planned.practical_id}/planner"))
    without = {name: text for name, text in fields.items() if not name.startswith("ice")}
    _save(desk, planned, {**without, "step_2": "0.1"})
    assert _stored(planned)[7] == Decimal("0.4")


def test_what_is_no_ice_point_is_refused_and_one_far_off_asked_about_once(
    desk: Reader, planned: AClass
) -> None:
    fields = _fields(_proposed(desk, planned, **KIT))
    for typed, said in (("21", "not 21 °C. Read it in ice and water"), ("5.1", "between −5 and 5 °C")):
        answer = desk.post(
            f"/desk/{planned.practical_id}/planner", **{**fields, "ice_3": typed, "action": "save"}
        )
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422
        assert said in page
        assert 'href="#ice_3"' in page
        assert _fields(page)["ice_3"] == typed
    page = _save(desk, planned, {**fields, "ice_3": "2.5"})
    (warned,) = re.findall(r'<a href="#ice_3">Bench 3</a>: ([^<]*)', page)
    assert warned == "More than 2 K off: read it again in ice and water, stirred, or use another thermometer."
    assert _stored(planned)[3] == Decimal("2.5")


def test_the_card_has_a_line_for_it_where_the_phone_asks(desk: Reader, planned: AClass) -> None:
    cards = f"/desk/{planned.practical_id}/cards"
    _save(desk, planned, _fields(_proposed(desk, planned, **ALIKE)))
    assert "Thermometer in melting ice" not in desk.text(cards)
    _save(desk, planned, {**_fields(_proposed(desk, planned, **KIT)), "ice_7": "0.4"})
    assert desk.text(cards).count("Thermometer in melting ice") == 7, "all eight but bench 7"
    assert desk.get(f"{cards}.pdf").status_code == 200
