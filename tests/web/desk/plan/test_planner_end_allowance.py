"""Caps and settled shot are two lengths: the planner never takes either off twice."""

from __future__ import annotations

import html
import math
import re
from dataclasses import replace
from decimal import Decimal

import pytest

from app.practicals.lesson.details import Plan
from app.practicals.lesson.plan import change_plan, practical_details
from tests.practicals.a_class import NOW, AClass
from tests.web.desk.conftest import Reader


def _plan(a_class: AClass) -> Plan:
    return practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id).plan


def _fields(page: str) -> dict[str, str]:
    found = re.findall(r'<input id="([a-z_0-9]+)" name="\1"[^>]*? value="([^"]*)"', page)
    hidden = re.findall(r'<input type="hidden" name="(seen|stands)" value="([^"]*)"', page)
    return {name: html.unescape(value) for name, value in [*found, *hidden]}


def _cards(desk: Reader, a_class: AClass) -> list[tuple[float, float]]:
    """Shot mass in g and end allowance in cm on each bench's card."""
    page = desk.text(f"/desk/{a_class.practical_id}/cards")
    numbers = r"Shot mass</dt>\s*<dd>([\d.]+) g.*?End allowance</dt>\s*<dd>([\d.]+) cm"
    return [(float(mass), float(taken)) for mass, taken in re.findall(numbers, page, re.DOTALL)]


def _settled_cm(mass_g: float, bore_mm: float) -> float:
    """m / (0.6 · 11.34 g/cm³ · π d²/4): lead's handbook density, random loose packing (from memory)."""
    return mass_g / (0.6 * 11.34 * math.pi * (bore_mm / 10) ** 2 / 4)


def _planned_with_six_centimetres(a_class: AClass) -> None:
    plan = replace(_plan(a_class), end_allowance_m=Decimal("0.06"), planned_benches=6)
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )


def _use(desk: Reader, a_class: AClass, **changed: str) -> None:
    """Change fields of the planner's first page, propose, use the plan."""
    address = f"/desk/{a_class.practical_id}/planner"
    proposed = desk.post(address, **{**_fields(desk.text(address)), **changed}, action="propose")
    answer = desk.post(address, **_fields(proposed.get_data(as_text=True)), action="save")
    assert answer.status_code == 302, html.unescape(answer.get_data(as_text=True))


def test_with_a_bore_each_card_has_the_caps_and_that_benchs_own_settled_shot(
    desk: Reader, planned: AClass
) -> None:
    """A kilogram of lead in a bore of 40 mm settles 11.7 cm deep: 13.7 cm with 2 cm of caps, not 17.7."""
    assert _settled_cm(1000, 40) == pytest.approx(11.7, abs=0.03)
    _planned_with_six_centimetres(planned)
    _use(desk, planned, bore_1="40 mm")
    cards = _cards(desk, planned)
    assert len(cards) == 6
    assert len({mass for mass, _ in cards}) > 1, "else one card would do"
    for mass_g, allowance_cm in cards:
        assert allowance_cm == pytest.approx(2 + _settled_cm(mass_g, 40), abs=0.06)


def test_without_a_bore_each_card_has_the_end_allowance_as_it_was_given(
    desk: Reader, planned: AClass
) -> None:
    _planned_with_six_centimetres(planned)
    _use(desk, planned)
    assert [allowance for _, allowance in _cards(desk, planned)] == [6.0] * 6


def test_tubes_with_and_without_a_bore_each_take_their_own(desk: Reader, planned: AClass) -> None:
    _planned_with_six_centimetres(planned)
    kinds = {"tubes_1": "4", "tubes_2": "2", "length_2": "1 m", "bore_2": "40 mm", "step_2": "0.1"}
    _use(desk, planned, **kinds, caps="3 cm", allowance="8 cm")
    cards = _cards(desk, planned)
    assert [allowance for _, allowance in cards[:4]] == [8.0] * 4
    for mass_g, allowance_cm in cards[4:]:
        assert allowance_cm == pytest.approx(3 + _settled_cm(mass_g, 40), abs=0.06)


def test_an_end_allowance_is_needed_only_where_a_tube_has_no_bore(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    fields = _fields(desk.text(address))
    refused = desk.post(address, **{**fields, "allowance": ""}, action="propose")
    assert refused.status_code == 422
    assert 'id="allowance-problem"' in refused.get_data(as_text=True)
    bored = desk.post(address, **{**fields, "allowance": "", "bore_1": "40 mm"}, action="propose")
    assert bored.status_code == 200


@pytest.mark.parametrize(
    ("kept", "caps", "allowance"),
    [
        ({"kit_caps": "6 cm"}, "2 cm", "6 cm"),
        ({"kit_caps": "6 cm", "kit_bore_1": "40 mm"}, "2 cm", "6 cm"),
        ({"kit_caps": "3 cm", "kit_bore_1": "40 mm"}, "3 cm", "6 cm"),
    ],
)
def test_a_kit_kept_from_before_is_read_as_it_was_meant(
    desk: Reader, planned: AClass, kept: dict[str, str], caps: str, allowance: str
) -> None:
    """One field used to hold the caps where a bore was typed, and caps and shot where none was."""
    plan = replace(_plan(planned), end_allowance_m=Decimal("0.06"), typed=kept)
    change_plan(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, plan=plan, now=NOW
    )
    fields = _fields(desk.text(f"/desk/{planned.practical_id}/planner"))
    assert (fields["caps"], fields["allowance"].replace("6.00", "6")) == (caps, allowance)


def test_masses_that_differ_with_one_allowance_are_warned_about_until_benches_measure(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}"
    kit = _fields(desk.text(f"{address}/planner"))
    without_bore = {**kit, "bore_1": "", "allowance": "6 cm", "action": "propose"}
    page = html.unescape(desk.post(f"{address}/planner", **without_bore).get_data(as_text=True))
    warned = page.partition('id="one-allowance">')[2].partition("</p>")[0]
    assert "The benches are planned with one end allowance (6.0 cm)" in warned
    wide, narrow = (int(found) for found in re.findall(r"(\d+) % ", warned)[:2])
    assert 5 <= wide < narrow <= 60
    with_bore = desk.post(f"{address}/planner", **{**without_bore, "bore_1": "45 mm"}).get_data(as_text=True)
    assert 'id="one-allowance"' not in with_bore
    plan = replace(planned.practical.plan, depth_measured=True)
    change_plan(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, plan=plan, now=NOW
    )
    measuring = desk.post(f"{address}/planner", **without_bore).get_data(as_text=True)
    assert 'id="one-allowance"' not in measuring


WARNED = 'one-allowance"'


def test_one_allowance_for_unequal_masses_is_planned_only_after_its_warning(
    desk: Reader, planned: AClass
) -> None:
    """Proposed alike and typed apart: the warning comes before anything is stored."""
    _planned_with_six_centimetres(planned)
    address = f"/desk/{planned.practical_id}/planner"
    alike = desk.post(address, **_fields(desk.text(address)), action="same").get_data(as_text=True)
    assert f'<p class="notice ask" {WARNED}' not in alike
    apart = {**_fields(alike), "mass_1": "300", "mass_2": "300"}
    asked = desk.post(address, **apart, action="save")
    assert asked.status_code == 200
    page = asked.get_data(as_text=True)
    assert WARNED in page
    assert "Nothing is stored yet" in page
    assert _plan(planned).bench_plans == ()
    assert desk.post(address, **_fields(page), action="save").status_code == 302
    assert len(_plan(planned).bench_plans) == 6


def test_a_stored_plan_of_one_allowance_is_warned_of_wherever_it_is_seen_before_the_first_run(
    desk: Reader, planned: AClass
) -> None:
    _planned_with_six_centimetres(planned)
    _use(desk, planned)
    here = f"/desk/{planned.practical_id}"
    copied = desk.post(f"{here}/copy", title="Next class", held_on="2026-12-01")
    for address in (
        f"{here}/",
        f"{here}/plan",
        f"{here}/cards",
        f"{here}/planner",
        copied.headers["Location"],
    ):
        assert WARNED in desk.text(address), address
    measured = replace(_plan(planned), depth_measured=True)
    change_plan(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, plan=measured, now=NOW
    )
    for address in (f"{here}/", f"{here}/plan", f"{here}/cards", f"{here}/planner"):
        assert WARNED not in desk.text(address), address
