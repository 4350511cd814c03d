"""The teacher sees whose own calculation does not follow from the bench's readings, and in which step."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.physics.reading.readings import parse_heat_capacity
from app.practicals.lesson.details import Typed
from app.practicals.lesson.states import finish_practical, pause_practical
from app.practicals.runs.own_calculation import note_own_calculation
from app.practicals.runs.reading import RunDetails
from app.practicals.runs.sending import enter_run
from app.records.choices import ActorKind
from app.web.desk.lesson.attention import needs_of_calculations
from tests.practicals.a_class import NOW, AClass, a_plan, an_entry, new_key
from tests.web.desk.conftest import Reader

# g·h·N/w = 9.80665 × 0.95 × 50 / 2.2 = 211.7 with the readings of `an_entry`.
SLIPS = {
    "4.23": "the energy of one fall instead of all",
    "211700": "grams for kilograms",
    "0.2117": "as for one gram",
    "24.3": "the start temperature used as the warming",
    "222.9": "the tube's length without the end allowance",
    "0.00472": "the ratio upside down",
}


def _worked_out(a_class: AClass, *typed: str) -> None:
    bench = a_class.join(7)
    run = enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    for text in typed:
        note_own_calculation(
            a_class.database,
            actor=bench,
            run_id=run.run_id,
            key=new_key(),
            typed=parse_heat_capacity(text),
            now=NOW,
        )


A_RUN = RunDetails(
    run_id=1,
    bench_id=1,
    bench_number=7,
    number=1,
    version=1,
    run_revision=1,
    entry=an_entry(start="28.2", end="30.4"),
    set_aside=False,
    simulated=False,
    entered_by=ActorKind.BENCH,
    first_sent_at=NOW,
    start_read_at=None,
    client_time=None,
    corrections=0,
)
OTHER_SLIPS = {
    "21170": "centimetres for metres",  # 100 × 211.7
    "15.32": "the end temperature used as the warming",  # 465.8 / 30.4
    "1.693": "273 added to the warming",  # 465.8 / (2.2 + 273.15)
    "21.59": "g left out",  # 211.7 / 9.80665
    "105.9": "half of the falls",
    "423.4": "twice the falls",
    "72": "the mass not divided out",  # 211.7 × 0.34
    "622.7": "divided by the mass once too often",  # 211.7 / 0.34
    "465.8": "not divided by the warming",
    "1024.7": "multiplied by the warming",  # 465.8 × 2.2
    "-211.7": "start minus end for the warming",
}


def test_every_other_slip_has_its_own_words() -> None:
    for typed, words in OTHER_SLIPS.items():
        entry = replace(A_RUN.entry, own_heat_capacity=Typed(typed, parse_heat_capacity(typed).value, ""))
        run = replace(A_RUN, entry=entry)
        (need,) = needs_of_calculations([run], a_plan())
        assert [str(step) for step in need.steps] == [f"Perhaps {words}."], typed


@pytest.mark.parametrize("typed", SLIPS)
def test_each_slip_is_named_on_the_lesson_and_at_the_bench(desk: Reader, a_class: AClass, typed: str) -> None:
    _worked_out(a_class, typed)
    for page in ("", "live", "bench/7"):
        said = desk.text(f"/desk/{a_class.practical_id}/{page}")
        assert f"Own specific heat capacity of run 1 ({typed}) does not follow" in said
        assert SLIPS[typed] in said


def test_a_value_that_no_single_slip_explains_asks_for_the_teacher_as_well(
    desk: Reader, a_class: AClass
) -> None:
    _worked_out(a_class, "77")
    assert "(77) does not follow from its readings. No single slip explains it." in desk.text(
        f"/desk/{a_class.practical_id}/"
    )


def test_a_value_that_follows_needs_nobody_even_after_a_slip(desk: Reader, a_class: AClass) -> None:
    _worked_out(a_class, "4.23", "212")
    assert "Own specific heat capacity" not in desk.text(f"/desk/{a_class.practical_id}/")


def test_it_is_seen_in_a_pause_and_not_after_the_class(desk: Reader, a_class: AClass) -> None:
    _worked_out(a_class, "4.23")
    who = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    pause_practical(a_class.database, **who)  # type: ignore[arg-type]
    assert "Own specific heat capacity" in desk.text(f"/desk/{a_class.practical_id}/")
    finish_practical(a_class.database, **who)  # type: ignore[arg-type]
    assert "Own specific heat capacity" not in desk.text(f"/desk/{a_class.practical_id}/")
