"""Planning a practical at the desk: what is understood, what is refused, and that nothing typed is lost."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from app.practicals.lesson import plan as plans
from app.practicals.lesson.details import BenchPlanLine, Plan, PracticalDetails
from app.practicals.lesson.plan import change_plan, practical_details
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.practicals.seen import practicals_of_department
from tests.web.desk.conftest import Reader

GOOD = {
    "title": "11C, period 3",
    "held_on": "2031-03-12",
    "material": "copper",
    "accepted_for": "copper",
    "accepted": "384",
    "accepted_source": "our data book",
    "gravity_how": "standard",
    "gravity": "",
    "latitude": "",
    "height": "",
    "tube_length": "98,5 cm",
    "bore": "45 mm",
    "end_allowance": "0.06 m",
    "ends_how": "planned",
    "inversions": "60",
    "planned_benches": "9",
    "language": "fr",
    "delete_after": "2031-08-01",
    "thermometer_step": "0,5",
    "room_temperature": "70 °F",
}


def _all(a_class: AClass) -> list[PracticalDetails]:
    return practicals_of_department(a_class.database, actor=a_class.teacher)


def _plan_made_by(desk: Reader, a_class: AClass, **form: str) -> Plan:
    answer = desk.post("/desk/new", **{**GOOD, **form})
    assert answer.status_code == 302, html.unescape(answer.get_data(as_text=True))
    made = int(answer.headers["Location"].rstrip("/").split("/")[-1])
    return practical_details(a_class.database, actor=a_class.teacher, practical_id=made).plan


def test_what_was_typed_with_units_is_stored_exactly(desk: Reader, planned: AClass) -> None:
    plan = _plan_made_by(desk, planned)
    assert plan.title == "11C, period 3"
    assert plan.tube_length_m == Decimal("0.985")
    assert plan.end_allowance_m == Decimal("0.06")
    assert plan.bore_m == Decimal("0.045")
    assert plan.thermometer_step_K == Decimal("0.5")
    assert plan.accepted_J_per_kg_K == 384
    assert plan.planned_benches == 9
    assert plan.room_temperature_C is not None
    assert abs(plan.room_temperature_C - Decimal("21.1111")) < Decimal("0.001")


def test_what_was_typed_comes_back_as_it_was_typed(desk: Reader, planned: AClass) -> None:
    """1 in = 2.54 cm (International Yard and Pound Agreement, 1959)."""
    typed = {"tube_length": "40 in", "bore": "1.75 in", "end_allowance": "2,50 in", "thermometer_step": "0,5"}
    answer = desk.post("/desk/new", **{**GOOD, **typed})
    made = int(answer.headers["Location"].rstrip("/").split("/")[-1])
    stored = practical_details(planned.database, actor=planned.teacher, practical_id=made).plan
    assert stored.tube_length_m == Decimal("1.016")
    page = desk.text(f"/desk/{made}/plan")
    for name, text in {**GOOD, **typed}.items():
        if name in ("title", "held_on") or name in typed or name in ("accepted", "room_temperature"):
            assert re.search(rf'name="{name}"[^>]* value="{re.escape(text)}"', page), name


BAD = [
    ("delete_after", "2031-03-01", "before the lesson"),
    ("delete_after", "never", "or leave it empty"),
    ("language", "xx", "Choose a language"),
    ("title", "  ", "Give the practical a title"),
    ("title", "x" * 121, "too long"),
    ("held_on", "next Tuesday", "year-month-day"),
    ("material", "cheese", "Choose the metal"),
    ("accepted", "0", "An accepted value lies between"),
    ("accepted", "-128", "An accepted value lies between"),
    ("accepted", "1e3", "without a power of ten"),
    ("accepted", "0.03 cal/(g·K)", "does not fit here"),
    ("accepted", "lead", "is not a number"),
    ("accepted_source", "", "Say where the accepted value comes from"),
    ("tube_length", "0", "leaves no fall"),
    ("tube_length", "1,234.5", "Do not group the digits"),
    ("end_allowance", "98.5 cm", "as long as the tube"),
    ("end_allowance", "-1 cm", "cannot be negative"),
    ("bore", "2 m", "as wide as the tube"),
    ("ends_how", "guessed", "Choose how it is known what the settled shot takes"),
    ("inversions", "0", "With zero inversions nothing has fallen"),
    ("inversions", "2.5", "not a whole number"),
    ("inversions", "1000000", "more than a lesson has time for"),
    ("planned_benches", "0", "whole number from 1 to 99"),
    ("planned_benches", "twelve", "is not a number"),
    ("thermometer_step", "0", "A thermometer step lies between"),
    ("thermometer_step", "9" * 10_000, "too long"),
]


def test_bad_input_gets_a_sentence_and_keeps_what_was_typed(desk: Reader, planned: AClass) -> None:
    before = _all(planned)
    for field, typed, said in BAD:
        answer = desk.post("/desk/new", **{**GOOD, field: typed})
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422, (field, typed[:20])
        assert said in page, (field, typed[:20])
        assert f'href="#{field}"' in page, "the summary leads to the field"
        lost = [name for name, text in GOOD.items() if name != field and text and text not in page]
        assert not lost, (field, typed[:20])
    assert _all(planned) == before, "nothing is stored"


def test_an_accepted_value_is_read_in_every_unit_that_a_bench_may_use(desk: Reader, planned: AClass) -> None:
    for typed in ("0.384 kJ/(kg·K)", "384 J kg⁻¹ K⁻¹"):
        assert _plan_made_by(desk, planned, accepted=typed).accepted_J_per_kg_K == 384, typed


def test_g_may_be_typed_with_the_unit_that_stands_beside_the_field(desk: Reader, planned: AClass) -> None:
    plan = _plan_made_by(desk, planned, gravity_how="typed", gravity="9.81 m/s²")
    assert plan.gravity_m_per_s2 == Decimal("9.81")


BAD_GRAVITY: list[tuple[str, dict[str, str], str]] = [
    ("typed", {"gravity": "10"}, "On Earth g lies between"),
    ("typed", {"gravity": "9.7"}, "On Earth g lies between"),
    ("typed", {"gravity": ""}, "Nothing was typed"),
    ("latitude", {"latitude": "91"}, "A latitude lies between"),
    ("latitude", {"latitude": "51", "height": "90000"}, "A height above sea level"),
    ("guessed", {}, "Choose how g is given"),
]


def test_g_is_checked_in_the_way_it_is_given(desk: Reader, planned: AClass) -> None:
    for how, more, said in BAD_GRAVITY:
        answer = desk.post("/desk/new", **{**GOOD, "gravity_how": how, **more})
        assert answer.status_code == 422, how
        assert said in html.unescape(answer.get_data(as_text=True)), how


def test_g_from_latitude_is_normal_gravity(desk: Reader, planned: AClass) -> None:
    """Normal gravity near 51.5° is 9.812 m/s² (WGS 84; the formula is checked against boule elsewhere)."""
    plan = _plan_made_by(desk, planned, gravity_how="latitude", latitude="51.5", height="30")
    assert abs(plan.gravity_m_per_s2 - Decimal("9.812")) < Decimal("0.001")
    assert plan.u_gravity_m_per_s2 > 0


def test_another_metal_brings_its_own_value_when_the_value_was_not_touched(
    desk: Reader, planned: AClass
) -> None:
    untouched = {"accepted_for": "lead", "accepted": "127.4", "accepted_source": "of lead"}
    plan = _plan_made_by(desk, planned, **untouched)
    assert plan.accepted_J_per_kg_K == 384
    assert "of lead" not in plan.accepted_source


def test_a_value_of_ones_own_stays_when_the_metal_changes(desk: Reader, planned: AClass) -> None:
    own = {"accepted_for": "lead", "accepted": "391", "accepted_source": "data sheet"}
    plan = _plan_made_by(desk, planned, **own)
    assert (plan.accepted_J_per_kg_K, plan.accepted_source) == (391, "data sheet")


def test_what_only_the_use_case_refuses_is_said_beside_its_field_and_stays_as_typed(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}/plan"
    seen = desk.text(address).split('name="seen" value="')[1].split('"')[0]
    for where, more in ((address, {"seen": seen}), ("/desk/new", {})):
        answer = desk.post(where, **{**GOOD, **more, "delete_after": "2031-03-01"})
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, where
        assert "before the lesson" in page, where
        assert 'value="2031-03-01"' in page, where
    kept = practical_details(planned.database, actor=planned.teacher, practical_id=planned.practical_id)
    assert kept.plan == planned.practical.plan


def test_a_plan_changed_by_a_colleague_meanwhile_is_not_overwritten_unseen(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}/plan"
    seen = desk.text(address).split('name="seen" value="')[1].split('"')[0]
    assert desk.post(address, **{**GOOD, "seen": seen, "inversions": "40"}).status_code == 302
    assert "The plan is saved." in desk.text(address)
    second = desk.post(address, **{**GOOD, "seen": seen, "inversions": "80"})
    page = second.get_data(as_text=True)
    assert second.status_code == 409
    assert "changed by someone else" in page
    assert "“40”" in page
    assert "“80”" in page
    latest = practical_details(planned.database, actor=planned.teacher, practical_id=planned.practical_id)
    assert latest.plan.inversions == 40


def test_runs_that_come_in_while_a_plan_is_stored_do_not_matter(
    desk: Reader, a_class: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    benches = iter((3, 7))

    def beside_a_run(*args: Any, **named: Any) -> PracticalDetails:
        if number := next(benches, None):
            phone = a_class.join(number)
            enter_run(a_class.database, actor=phone, key=new_key(), entry=an_entry(), now=NOW)
        return change_plan(*args, **named)

    monkeypatch.setattr(plans, "change_plan", beside_a_run)
    address = f"/desk/{a_class.practical_id}/plan"
    seen = desk.text(address).split('name="seen" value="')[1].split('"')[0]
    assert desk.post(address, **{**GOOD, "seen": seen, "inversions": "40"}).status_code == 302
    assert next(benches, None) is None, "it was tried again after each"
    assert _all(a_class)[0].plan.inversions == 40


KEEP = re.compile(r'<button type="submit" name="as_typed" value="([^"]*)"')


@pytest.mark.parametrize(
    ("typed", "says"),
    [("8", "8 °C is unusual for a room"), ("68", "did you mean 68 °F (20.0 °C)"), ("4,5 cm", None)],
)
def test_an_unlikely_room_is_asked_about_once_and_is_then_the_teachers(
    desk: Reader, planned: AClass, typed: str, says: str | None
) -> None:
    form = {**GOOD, "room_temperature": typed}
    before = len(_all(planned))
    asked = desk.post("/desk/new", **form)
    page = html.unescape(asked.get_data(as_text=True))
    assert f'value="{typed}"' in page
    assert len(_all(planned)) == before, "asking is not doing"
    if says is None:
        assert asked.status_code == 422
        return
    assert asked.status_code == 200
    assert says in page
    sure = KEEP.search(page)
    assert sure is not None
    assert desk.post("/desk/new", **{**form, "room_temperature": "9"}, as_typed=sure[1]).status_code == 200
    assert desk.post("/desk/new", **form, as_typed=sure[1]).status_code == 302
    made = next(one for one in _all(planned) if one.title == GOOD["title"])
    assert made.plan.typed["room_temperature"] == typed
    page = desk.text(f"/desk/{made.practical_id}/plan")
    seen = re.search(r'name="seen" value="([^"]+)"', page)
    assert seen
    again = desk.post(f"/desk/{made.practical_id}/plan", **{**form, "inversions": "61"}, seen=seen[1])
    assert again.status_code == 302, "what is stored is not asked about again"


def test_a_room_like_the_planned_start_is_asked_about_in_the_plan_too(desk: Reader, planned: AClass) -> None:
    plan = replace(planned.practical.plan, bench_plans=(BenchPlanLine(1, start_temperature_C=Decimal(12)),))
    change_plan(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, plan=plan, now=NOW
    )
    address = f"/desk/{planned.practical_id}/plan"
    seen = re.search(r'name="seen" value="([^"]+)"', desk.text(address))
    assert seen
    asked = desk.post(address, **{**GOOD, "room_temperature": "12"}, seen=seen[1])
    assert asked.status_code == 200
    assert "12 °C is what the shot starts at too" in asked.get_data(as_text=True)


def test_the_same_plan_serves_another_class(desk: Reader, planned: AClass) -> None:
    refused = desk.post(f"/desk/{planned.practical_id}/copy", title="12A", held_on="2 April")
    assert (refused.status_code, 'value="2 April"' in refused.text) == (422, True)
    answer = desk.post(f"/desk/{planned.practical_id}/copy", title="12A", held_on="2031-04-02")
    made = int(answer.headers["Location"].split("/")[2])
    copied = practical_details(planned.database, actor=planned.teacher, practical_id=made).plan
    assert (copied.title, copied.tube_length_m) == ("12A", planned.practical.plan.tube_length_m)


def test_the_plan_page_of_a_copy_shows_its_own_day_and_asks_for_its_own_room(
    desk: Reader, planned: AClass
) -> None:
    desk.post("/desk/new", **GOOD)
    first = next(one for one in _all(planned) if one.title == GOOD["title"])
    answer = desk.post(f"/desk/{first.practical_id}/copy", title="12A", held_on="2031-04-02")
    made = int(answer.headers["Location"].split("/")[2])
    page = desk.text(f"/desk/{made}/plan")
    assert 'value="12A"' in page
    assert 'value="2031-04-02"' in page
    assert GOOD["title"] not in page
    assert 'name="delete_after" type="date" value=""' in page
    assert 'value="98,5 cm"' in page
    assert GOOD["room_temperature"] not in page
    assert 'name="room_temperature"' in desk.text(f"/desk/{made}/")
