"""The planner, cards, rehearsal and other falls, over HTTP."""

from __future__ import annotations

import html
import re
from decimal import Decimal

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import Plan
from app.practicals.lesson.plan import practical_details
from app.practicals.lesson.states import open_practical
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader

KIT = {
    **{"tubes_1": "6", "length_1": "1 m", "bore_1": "45 mm", "step_1": "0,1"},
    **{"tubes_2": "2", "length_2": "60 cm", "bore_2": "45", "step_2": "0.5"},
    **{"caps": "2 cm", "most_mass": "1 kg", "minutes": "30", "minutes_beside": "4"},
    **{"tips_per_minute": "30", "most_inversions": "100", "heat_sink": "20", "room": "21"},
}


def _plan(a_class: AClass) -> Plan:
    found = practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    return found.plan


def _fields(page: str) -> dict[str, str]:
    """The planner's fields as a browser would send them."""
    found = re.findall(r'<input id="([a-z_0-9]+)" name="\1"[^>]*? value="([^"]*)"', page)
    hidden = re.findall(r'<input type="hidden" name="(seen|stands)" value="([^"]*)"', page)
    return {name: html.unescape(value) for name, value in [*found, *hidden]}


def test_the_planner_proposes_different_masses_at_once(desk: Reader, planned: AClass) -> None:
    page = desk.text(f"/desk/{planned.practical_id}/planner")
    assert "Everyone does the same" in page
    fields = _fields(page)
    assert len({fields[f"mass_{bench}"] for bench in range(1, 13)}) >= 2


def test_the_first_look_at_the_planner_is_the_proposal_itself(desk: Reader, planned: AClass) -> None:
    """Not the proposal's masses and starts with the practical's own count of inversions."""
    address = f"/desk/{planned.practical_id}/planner"
    first = _fields(desk.text(address))
    proposed = _fields(desk.post(address, **first, action="propose").get_data(as_text=True))
    assert first["inversions_1"] != str(_plan(planned).inversions), "else nothing is told apart here"
    assert first == proposed


def test_plan_and_planner_say_how_to_chill_shot_and_tube_together(desk: Reader, planned: AClass) -> None:
    for page in ("plan", "planner"):
        text = desk.text(f"/desk/{planned.practical_id}/{page}")
        assert text.count("lay the closed tube with the shot in it into the cold") == 1
        assert "Then dry it outside" in text


def test_the_problems_are_listed_in_the_order_of_the_page_and_what_was_typed_stays(
    desk: Reader, planned: AClass
) -> None:
    wrong = {"tubes_1": "six", "step_1": "9", "caps": "thin", "most_mass": "0", "minutes": "an hour"}
    answer = desk.post(f"/desk/{planned.practical_id}/planner", **{**KIT, **wrong}, action="propose")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert re.findall(r'<li><a href="#(\w+)">', page) == ["tubes_1", "step_1", "caps", "most_mass", "minutes"]
    assert {name: _fields(page)[name] for name in wrong} == wrong


def test_a_plan_is_stored_for_every_bench_and_stands_on_its_card(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    proposed = _fields(desk.post(address, **KIT, action="propose").get_data(as_text=True))
    form = {**KIT, **proposed, "mass_1": "0,35 kg", "start_1": "19.5"}
    assert desk.post(address, **form, action="save").status_code == 302
    assert "Every bench has its plan. The cards carry it." in desk.text(address)
    plan = _plan(planned)
    assert plan.planned_benches == 8
    assert [line.number for line in plan.bench_plans] == list(range(1, 9))
    assert plan.bench_plans[0].shot_mass_kg == Decimal("0.35")
    assert plan.bench_plans[0].start_temperature_C == Decimal("19.5")
    assert plan.bench_plans[7].tube_length_m == Decimal("0.6")
    assert plan.bench_plans[0].end_allowance_m is not None
    assert plan.bench_plans[0].end_allowance_m > Decimal("0.02"), "the settled shot is in it"
    desk.post(f"/desk/{planned.practical_id}/code-now")
    cards = desk.text(f"/desk/{planned.practical_id}/cards")
    assert "about 350 g of shot" in cards
    assert "about 19.5 °C" in cards
    assert desk.get(f"/desk/{planned.practical_id}/card/8.svg").mimetype == "image/svg+xml"
    assert desk.get(f"/desk/{planned.practical_id}/card/9.svg").status_code == 404
    again = _fields(desk.text(address))
    assert again["length_2"] == "60 cm", "the kit is kept as it was typed"
    cleared = desk.post(f"/desk/{planned.practical_id}/planner/clear")
    assert "Every bench follows the practical's own values again." in desk.text(cleared.headers["Location"])
    assert _plan(planned).bench_plans == ()


def test_overruling_a_number_shows_what_it_costs_before_anything_is_stored(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    proposed = _fields(desk.post(address, **KIT, action="propose").get_data(as_text=True))
    worse = {**KIT, **proposed, **{f"inversions_{bench}": "10" for bench in range(1, 9)}}
    page = html.unescape(desk.post(address, **worse, action="cost").get_data(as_text=True))
    cost = re.search(r"its interval is (\d+) % wider", page)
    assert cost
    assert int(cost.group(1)) > 20
    assert "cannot see a warming" in page or "only a few steps" in page, "the 0.5 °C thermometers"
    assert _plan(planned).bench_plans == ()


def _said(page: str) -> dict[str, str]:
    """The warnings of the plan, each with the benches that it names, by its id."""
    found = re.findall(r'<li id="(warning-\d+)">(.*?)</li>', page, re.DOTALL)
    return {name: html.unescape(re.sub("<.*?>", "", said)) for name, said in found}


def _warnings(page: str) -> dict[str, str]:
    """What is said of each number: its field refers to it."""
    fields = re.findall(r'<input id="(\w+)"[^>]* class="warned" aria-describedby="([^"]+)"', page)
    said = _said(page)
    return {name: " ".join(said[one] for one in refers.split()) for name, refers in fields}


def test_numbers_beyond_the_kit_are_warned_of_once_and_stored_when_sent_again(
    desk: Reader, planned: AClass
) -> None:
    """Twelve benches with 1.5 kg are 18 kg; the school has 8 kg, and one bench is to tip 1 kg at most."""
    address = f"/desk/{planned.practical_id}/planner"
    kit = {**KIT, "tubes_1": "12", "bore_1": "50 mm", "shot_available": "8 kg"}
    kit |= dict.fromkeys(("tubes_2", "length_2", "bore_2", "step_2"), "")
    fields = _fields(desk.post(address, **kit, action="propose").get_data(as_text=True))
    assert _warnings(desk.post(address, **fields, action="propose").get_data(as_text=True)) == {}
    beyond = {**fields, **{f"mass_{bench}": "1.5 kg" for bench in range(1, 13)}, "inversions_2": "140"}
    first = desk.post(address, **beyond, action="save")
    page = first.get_data(as_text=True)
    said = _warnings(page)
    assert first.status_code == 200
    assert _plan(planned).bench_plans == (), "asked once before it is stored"
    assert all("the most shot for one bench (1000 g)" in said[f"mass_{bench}"] for bench in range(1, 13))
    assert "18 kg of shot; there is 8 kg" in said["mass_6"]
    assert sorted(said) == sorted([*(f"mass_{bench}" for bench in range(1, 13)), "inversions_2"])
    assert [one.split(":")[0] for one in _said(page).values()] == ["Benches 1 to 12", "Bench 2", "Bench 6"]
    assert "the most inversions in one run (100)" in said["inversions_2"]
    assert "Use this plan all the same" in page
    assert _fields(page)["mass_7"] == "1.5 kg", "nothing typed is lost"
    assert desk.post(address, **{**_fields(page), "mass_3": "1.7 kg"}, action="save").status_code == 200
    assert _plan(planned).bench_plans == (), "another number beyond the kit is another question"
    assert desk.post(address, **_fields(page), action="save").status_code == 302
    assert {line.shot_mass_kg for line in _plan(planned).bench_plans} == {Decimal("1.5")}
    assert "the most shot for one bench" in _warnings(desk.get(address).get_data(as_text=True))["mass_1"]


def test_benches_without_a_tube_are_not_dropped_in_silence(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    fields = _fields(desk.text(address))
    answer = desk.post(address, **{**fields, "tubes_1": "8"}, action="save")
    (said,) = _said(answer.get_data(as_text=True)).values()
    assert "Tubes in all: 8, benches planned so far: 12" in said
    assert _plan(planned).planned_benches == 12
    assert desk.post(address, **_fields(answer.get_data(as_text=True)), action="save").status_code == 302
    assert _plan(planned).planned_benches == 8


def test_lines_that_a_colleague_changed_meanwhile_are_not_overwritten_unseen(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    fields = _fields(desk.post(address, **KIT, action="propose").get_data(as_text=True))
    assert desk.post(address, **{**KIT, **fields, "mass_1": "350"}, action="save").status_code == 302
    second = desk.post(address, **{**KIT, **fields, "mass_1": "777"}, action="save")
    page = second.get_data(as_text=True)
    assert second.status_code == 409
    assert "changed by someone else" in page
    assert 'value="777"' in page, "what the second typed is kept"
    assert _plan(planned).bench_plans[0].shot_mass_kg == Decimal("0.35")


@pytest.mark.parametrize(
    ("shot", "kg"), [("900 g", 0.9), ("1 kg", 1.0), ("0,9", 0.9), ("1000 g", 1.0), ("1000 kg", 1000)]
)
def test_the_shot_of_a_small_school_is_taken_as_typed_and_shared_out(
    desk: Reader, planned: AClass, shot: str, kg: float
) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    kit = {**KIT, "tubes_1": "2", "tubes_2": "", "length_2": "", "bore_2": "", "step_2": ""}
    answer = desk.post(address, **kit, shot_available=shot, action="propose")
    assert answer.status_code == 200, html.unescape(answer.get_data(as_text=True))
    page = answer.get_data(as_text=True)
    fields = _fields(page)
    assert fields["shot_available"] == shot
    masses = [float(fields[f"mass_{bench}"].replace(",", ".").split()[0]) / 1000 for bench in (1, 2)]
    assert 0 < sum(masses) <= kg + 1e-9


BAD = [
    ("tubes_2", "94", "at most 99 benches"),
    ("tubes_1", "0", "whole number from 1 to 99"),
    ("tubes_1", "", "Nothing was typed"),
    ("bore_1", "3 m", "its bore"),
    ("most_inversions", "1000000", "more than a lesson has time for"),
    ("minutes", "3", "no time for a single run"),
    ("heat_sink", "-1", "from 0 to 2000"),
    ("shot_available", "0", "Give all the shot"),
    ("mass_1", "40 kg", "more shot than anyone can tip"),
    ("mass_2", "19 kg", "more than its tube holds"),
    ("inversions_3", "2.5", "not a whole number"),
    ("runs_4", "90", "from 1 to 20 runs"),
    ("start_5", "warm", "is not a number"),
]


def test_an_impossible_plan_gets_a_sentence_and_keeps_what_was_typed(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    proposed = _fields(desk.post(address, **KIT, action="propose").get_data(as_text=True))
    for field, typed, said in BAD:
        answer = desk.post(address, **{**KIT, **proposed, field: typed}, action="save")
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422, (field, typed)
        assert said in page, (field, typed)
        assert f'value="{typed}"' in page, (field, typed)
    assert _plan(planned).bench_plans == ()


def test_the_class_result_goes_on_to_other_falls(desk: Reader, class_with_a_slip: AClass) -> None:
    page = desk.text(f"/desk/{class_with_a_slip.practical_id}/falls")
    assert "Our shot, with the class's own value" in page
    assert "this class" in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        # w = g·h/c = 9.80665 · 979 / 4179.8 = 2.30 K by hand: invented height, water from the CRC Handbook.
        ("substance=water&height=979+m&falls=1&step=0.1", "2.3 K"),
        # 9.80665 · 30.48 · 10 / 387 = 7.72 K by hand (invented).
        ("substance=own&own=387&height=100+ft&falls=10&step=0.1", "7.72 K"),
        ("substance=water&height=0", "A height of fall is more than 0"),
        ("substance=own&own=0", "An accepted value lies between"),
        ("substance=honey", "Choose a substance"),
        ("falls=2.5", "not a whole number"),
    ],
)
def test_any_substance_falls_any_height(desk: Reader, query: str, said: str) -> None:
    assert said in desk.text(f"/desk/falls?{query}")


def test_the_link_of_a_card_asks_for_one_tap_on_its_bench(nobody: Reader, a_class: AClass) -> None:
    page = nobody.text(f"/j/{a_class.practical.join_code}?bench=7")
    assert re.search(r'<button[^>]*value="7"', page)


def test_a_bench_with_another_thermometer_keeps_its_step_from_the_kit_to_the_analysis(
    desk: Reader, planned: AClass
) -> None:
    """Two of eight tubes have a thermometer of half a degree beside them; the class's has a tenth."""
    address = f"/desk/{planned.practical_id}"
    page = desk.post(f"{address}/planner", **KIT, action="propose").get_data(as_text=True)
    answer = desk.post(f"{address}/planner", **{**_fields(page), "action": "save"})
    if asked := re.search(r'name="stands" value="([^"]+)"', answer.get_data(as_text=True)):
        stands = html.unescape(asked[1])
        answer = desk.post(f"{address}/planner", **{**_fields(page), "action": "save", "stands": stands})
    assert answer.status_code == 302
    steps = {line.number: line.thermometer_step_K for line in _plan(planned).bench_plans}
    assert steps == {**dict.fromkeys(range(1, 7)), 7: Decimal("0.5"), 8: Decimal("0.5")}
    cards = desk.text(f"{address}/cards")
    assert (cards.count("to the nearest 0.1 °C"), cards.count("to the nearest 0.5 °C")) == (6, 2)
    opened = open_practical(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, now=NOW
    )
    a_class = AClass(planned.database, planned.teacher, opened)
    for number in (1, 7):
        enter_run(a_class.database, actor=a_class.join(number), key=new_key(), entry=an_entry(), now=NOW)
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    assert snapshot.result is not None
    assert [run.readings.thermometer_step_K for run in snapshot.result.runs] == [None, 0.5]
    fine, coarse = (run.u_warming_K for run in snapshot.result.runs)
    assert coarse == pytest.approx(5 * fine), "step/√6 for both readings (JCGM 100:2008, 4.3.7)"
    table = desk.text(f"{address}/runs.csv").splitlines()
    place = table[0].split(",").index("thermometer_step_K")
    assert [row.split(",")[place] for row in table[1:]] == ["", "0.5"]
