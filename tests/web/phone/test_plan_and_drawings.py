"""What the plan gives a bench is said at its step, and drawings show what the words mean."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import change_plan
from app.web.languages import LANGUAGES
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import Phone

LINE = BenchPlanLine(7, shot_mass_kg=Decimal("0.2605"), inversions=65, start_temperature_C=Decimal("-0.5"))
SAID = {
    "weigh": "Your card says 260.5 g. Weigh the shot only",
    "start": "Your card says about −0.5 °C.",
    "count": 'data-second="">65</strong> inversions',
}


def replan(a_class: AClass, **changes: object) -> None:
    plan = replace(a_class.practical.plan, **changes)  # type: ignore[arg-type]
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )


@pytest.mark.parametrize("step", SAID)
def test_each_step_says_what_the_card_says(phone: Phone, a_class: AClass, step: str) -> None:
    replan(a_class, bench_plans=(LINE,))
    phone.open(f"/bench/run/{step}")
    assert SAID[step] in phone.text


@pytest.mark.parametrize(("language", "mass"), [("en", "260.5"), ("fr", "260,5"), ("de", "260,5")])
def test_a_planned_mass_has_the_decimal_mark_of_the_language(
    phone: Phone, a_class: AClass, language: str, mass: str
) -> None:
    replan(a_class, bench_plans=(LINE,))
    phone.send("/language", {"language": language, "then": "/bench/run/weigh"})
    assert re.search(rf"\b{mass}\sg\b", phone.text)


def test_a_plan_without_mass_and_start_says_neither(phone: Phone) -> None:
    phone.open("/bench/run/all")
    assert "Your card says about" not in phone.text
    assert not re.search(r"Your card says [0-9]", phone.text)
    assert "Weigh the shot only" in phone.text


@pytest.mark.parametrize("measured", [True, False])
@pytest.mark.parametrize("language", LANGUAGES)
def test_each_letter_of_the_drawing_is_told_by_a_hint(
    phone: Phone, a_class: AClass, language: str, measured: bool
) -> None:
    replan(a_class, depth_measured=measured)
    phone.send("/language", {"language": language, "then": "/bench/run/all"})
    page = phone.text
    letters = set(re.findall(r"<text [^>]*>(\w)</text>", page))
    assert letters == {"L", "A", "B"}
    hints = " ".join(re.findall(r'class="hint" id="[a-z_]+-hint">([^<]*)', page))
    assert all(re.search(rf"\b{letter}\b", hints) for letter in letters)


def test_the_drawings_are_light(phone: Phone) -> None:
    phone.open("/bench/run/all")
    drawings = re.findall(r"<svg.*?</svg>", phone.text, flags=re.DOTALL)
    assert len(drawings) == 2
    assert all(len(drawing.encode()) < 2048 for drawing in drawings), [len(one) for one in drawings]
    assert "What is one inversion?" in phone.text
