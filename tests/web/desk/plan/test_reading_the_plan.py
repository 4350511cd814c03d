"""The plan as it is read from its form: all of it, and the ends of what it takes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from app.practicals.lesson.details import Plan
from app.web.desk.plan.form import PlanForm, form_of, read_plan_form
from tests.web.desk.plan.test_planning_a_practical import GOOD

ROOM = {"room_temperature": "19,5"}
OF_G = ("gravity_m_per_s2", "u_gravity_m_per_s2", "latitude_deg", "height_m")


def read(**typed: str) -> PlanForm:
    """The good form with these fields typed over."""
    return read_plan_form(GOOD | ROOM | typed)


def plan_read(**typed: str) -> Plan:
    found = read(**typed)
    assert found.plan is not None, found.problems
    return found.plan


def test_every_field_goes_into_the_plan() -> None:
    """u of g: ±0.03 m/s² over the inhabited world, as an even chance, is 0.06/√12."""
    asked = {"questions_asked": "yes", "question_spread": "  How far  apart? "}
    assert plan_read(ends_how="measured", **asked) == Plan(
        title="11C, period 3",
        held_on=date(2031, 3, 12),
        material="copper",
        accepted_J_per_kg_K=Decimal(384),
        accepted_source="our data book",
        accepted_temperature_C=Decimal(25),
        u_gravity_m_per_s2=Decimal("0.017"),
        tube_length_m=Decimal("0.985"),
        end_allowance_m=Decimal("0.06"),
        bore_m=Decimal("0.045"),
        depth_measured=True,
        inversions=60,
        planned_benches=9,
        thermometer_step_K=Decimal("0.5"),
        room_temperature_C=Decimal("19.5"),
        language="fr",
        delete_after=date(2031, 8, 1),
        questions_asked=True,
        own_questions={"spread": "How far apart?"},
        typed={
            name: text
            for name, text in (GOOD | ROOM | {"ends_how": "measured"}).items()
            if name not in ("accepted_for", "material")
        },
    )


def test_g_that_was_typed_is_taken_as_exact_and_one_from_a_place_is_not() -> None:
    """The anomaly of a place is not in normal gravity: 5·10⁻⁴ m/s²."""
    typed = plan_read(gravity_how="typed", gravity="9.81")
    assert [getattr(typed, name) for name in OF_G] == [Decimal("9.81"), 0, None, None]
    placed = plan_read(gravity_how="latitude", latitude="51.5", height="30")
    assert [getattr(placed, name) for name in OF_G[1:]] == [Decimal("0.0005"), Decimal("51.5"), 30]


def test_the_last_value_that_fits_is_taken_and_the_next_is_not() -> None:
    plan = plan_read(title="x" * 120, accepted_source="y" * 400, end_allowance="0", bore="98.4 cm")
    assert (len(plan.title), len(plan.accepted_source)) == (120, 400)
    assert (plan.end_allowance_m, plan.bore_m) == (0, Decimal("0.984"))
    assert plan_read(end_allowance="").end_allowance_m == 0, "nothing typed is nothing taken off"
    over = {"title": "x" * 121, "accepted_source": "y" * 401, "end_allowance": "98,5 cm", "bore": "985"}
    assert {*read(**over).problems} == {*over}


def test_a_question_holds_no_sign_that_no_file_can_keep() -> None:
    """UTF-16 uses U+D800 to U+DFFF for halves of signs (The Unicode Standard, section 3.8)."""
    for sign in "\0\ud800\udfff":
        assert [*read(question_spread=f"How {sign} far?").problems] == ["question_spread"]
    beside = "How \ud7ff and \ue000 far?"
    assert plan_read(question_spread=beside).own_questions == {"spread": beside}


def test_a_plan_that_was_not_typed_here_is_shown_so_that_its_form_gives_it_again() -> None:
    ways = (
        {"gravity_how": "typed", "gravity": "9.81", "delete_after": "", "language": ""},
        {"gravity_how": "latitude", "latitude": "51.5", "height": "30", "ends_how": "measured"},
        {"questions_asked": "yes", "question_spread": "How far apart?", "room_temperature": "", "bore": ""},
    )
    for way in ways:
        plan = replace(plan_read(**way), typed={})
        again = read_plan_form(form_of(plan).typed).plan
        assert again is not None
        assert replace(again, typed={}) == plan


def test_a_plan_is_shown_as_it_was_typed_and_without_what_the_kit_was() -> None:
    plan = replace(plan_read(), typed={"tube_length": "98,50 cm", "kit_caps": "2 cm"})
    shown = form_of(plan).typed
    assert (shown["tube_length"], shown["end_allowance"]) == ("98,50 cm", "6 cm")
    assert "kit_caps" not in shown
