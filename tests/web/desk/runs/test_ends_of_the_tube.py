"""Caps and settled depth at the desk: typed, corrected, planned, on cards and in the run table."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import change_plan
from app.practicals.runs.reading import RunDetails
from tests.practicals.a_class import NOW, AClass, new_key
from tests.web.desk.conftest import Reader

RUN = {
    "bench_number": "3",
    "shot_mass": "340 g",
    "tube_length": "100 cm",
    "inversions": "50",
    "start_temperature": "19.2",
    "end_temperature": "21.4",
}
BOTH = {"caps": "2", "settled_depth": "5.2"}


def _runs(a_class: AClass) -> tuple[RunDetails, ...]:
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs


def test_the_desk_types_the_parts_and_their_sum_is_the_allowance(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}"
    answer = desk.post(f"{address}/enter", key=new_key(), **RUN, **BOTH)
    assert answer.status_code == 302, answer.get_data(as_text=True)
    (run,) = _runs(a_class)
    assert run.entry.end_allowance.value == Decimal("0.072")
    page = desk.text(f"{address}/run/{run.run_id}/correct")
    assert 'id="settled_depth" name="settled_depth" type="text" inputmode="decimal"' in page
    assert 'value="5.2 cm"' in page
    table = desk.text(f"{address}/runs.csv").splitlines()
    row = dict(zip(table[0].split(","), table[1].split(","), strict=True))
    assert (row["caps_cm"], row["settled_depth_cm"], row["end_allowance_cm"]) == ("2", "5.2", "7.2")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({**BOTH, "end_allowance": "6"}, "make 7.2 cm, but the end allowance says 6 cm"),
        ({"caps": "2"}, "Nothing was typed"),
        ({"caps": "2", "settled_depth": "0"}, "The shot has a depth."),
        ({"caps": "2", "settled_depth": "98"}, "Caps and settled shot fill the whole tube"),
        ({}, "Nothing was typed"),
    ],
)
def test_what_does_not_fit_together_is_said_and_stays_typed(
    desk: Reader, a_class: AClass, typed: dict[str, str], sentence: str
) -> None:
    answer = desk.post(f"/desk/{a_class.practical_id}/enter", key=new_key(), **RUN, **typed)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert sentence in page
    assert all(f'value="{text}"' in page for text in typed.values())
    assert not _runs(a_class)


def test_a_plan_says_whether_benches_measure_and_the_cards_have_a_line_for_it(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}"
    assert 'id="ends_how" value="measured" checked' in desk.text("/desk/new"), "on for a new practical"
    assert 'id="ends_how-planned" value="planned" checked' in desk.text(f"{address}/plan"), "an older one"
    assert "measure how deep the shot lies" not in desk.text(f"{address}/cards")
    plan = replace(planned.practical.plan, depth_measured=True)
    change_plan(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, plan=plan, now=NOW
    )
    cards = desk.text(f"{address}/cards")
    assert "measure how deep the shot lies" in cards
    assert "____ cm; ____ cm" in cards
    assert desk.get(f"{address}/cards.pdf?per_page=2").status_code == 200


def test_the_two_lengths_stand_beside_their_sum_wherever_the_run_is_shown(
    desk: Reader, a_class: AClass
) -> None:
    address = f"/desk/{a_class.practical_id}"
    assert desk.post(f"{address}/enter", key=new_key(), **RUN, **BOTH).status_code == 302
    alone = {**RUN, "bench_number": "4", "end_allowance": "6.5"}
    assert desk.post(f"{address}/enter", key=new_key(), **alone).status_code == 302
    for run in _runs(a_class):
        desk.post(
            f"{address}/run/{run.run_id}/decide",
            action="set-aside",
            reason="the tube leaked",
            run_revision=str(run.run_revision),
        )
    for page in ("decisions", "history", "run/1/correct"):
        assert "7.2 cm (2 cm + 5.2 cm)" in desk.text(f"{address}/{page}"), page
    for page in ("decisions", "history"):
        assert re.search(r"6\.5 cm(?! \()", desk.text(f"{address}/{page}")), page
    assert "End allowance (caps + settled shot)" in desk.text(f"{address}/decisions")
    report = desk.text(f"/board/{a_class.practical_id}/report").replace("\xa0", " ")
    assert "7.2 cm (2 cm + 5.2 cm)" in report
