"""Two counts for a bench: its second run at about half the falls, from the planner to the run table."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from decimal import Decimal

from sqlalchemy import select

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import BenchPlanLine, Typed
from app.practicals.lesson.plan import change_plan, copy_practical, practical_details
from app.practicals.runs.sending import enter_run
from app.records.models import BenchPlan
from app.web.desk.runs.grid_form import in_grey
from tests.practicals.a_class import NOW, AClass, a_plan, an_entry, new_key
from tests.web.desk.conftest import Reader
from tests.web.desk.plan.test_planning_each_bench import KIT, _fields


def _counts(a_class: AClass, practical_id: int) -> set[tuple[int | None, int | None]]:
    with a_class.database.reading() as session:
        rows = session.scalars(select(BenchPlan).where(BenchPlan.practical_id == practical_id))
        return {(row.inversions, row.second_inversions) for row in rows}


def _in_words(page: str, element: str) -> str:
    found = re.search(rf'<p[^>]* id="{element}"[^>]*>(.*?)</p>', page, re.DOTALL)
    return "" if found is None else html.unescape(" ".join(found.group(1).split()))


def _half_widths(words: str) -> list[float]:
    return [float(found) for found in re.findall(r"± ([\d.]+)", words)]


def test_the_tick_proposes_a_second_count_for_every_bench_and_says_its_width(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    without = desk.post(address, **KIT, action="propose").get_data(as_text=True)
    ticked = desk.post(address, **KIT, two_counts="yes", action="propose").get_data(as_text=True)
    assert {value for name, value in _fields(without).items() if name.startswith("second_")} == {""}
    fields = _fields(ticked)
    for bench in range(1, 9):
        first, second = int(fields[f"inversions_{bench}"]), int(fields[f"second_{bench}"])
        assert 0.4 <= second / first <= 0.6
    assert 'name="two_counts" value="yes" checked' in ticked
    assert "With one run of each bench at about half the falls" in _in_words(without, "other-counts")
    assert "With the same count in every run" in _in_words(ticked, "other-counts")
    assert _half_widths(_in_words(without, "other-counts")) == _half_widths(_in_words(ticked, "expected"))
    assert _half_widths(_in_words(ticked, "other-counts")) == _half_widths(_in_words(without, "expected"))


def test_a_second_count_is_stored_copied_and_stands_on_the_card(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    proposed = _fields(desk.post(address, **KIT, two_counts="yes", action="propose").get_data(as_text=True))
    seconds = {f"second_{bench}": "37" for bench in range(1, 9)}
    counts = {f"inversions_{bench}": "90" for bench in range(1, 9)}
    form = {**KIT, **proposed, **counts, **seconds, "two_counts": "yes"}
    warned = _fields(desk.post(address, **form, action="save").get_data(as_text=True))
    assert _counts(planned, planned.practical_id) == set()
    form["stands"] = warned["stands"]
    assert desk.post(address, **form, action="save").status_code == 302
    assert _counts(planned, planned.practical_id) == {(90, 37)}
    again = desk.text(address)
    assert _fields(again)["second_3"] == "37"
    assert "checked" in again.split('name="two_counts"')[1][:40]
    cards = html.unescape(desk.text(f"/desk/{planned.practical_id}/cards"))
    for run, count in ((1, 90), (2, 37)):
        assert f">{count}<" in cards.split(f"Inversions, run {run}")[1][:40]
    assert "in run 1 to the count of 90, in run 2 to 37" in cards
    copied = copy_practical(
        planned.database,
        actor=planned.teacher,
        practical_id=planned.practical_id,
        title="The next class",
        held_on=planned.practical.plan.held_on,
        now=NOW,
    )
    assert _counts(planned, copied.practical_id) == {(90, 37)}


def test_a_second_count_that_cannot_be_gets_its_sentence_and_stays(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    proposed = _fields(desk.post(address, **KIT, action="propose").get_data(as_text=True))
    for typed, status, said in (("half", 422, "second_2-problem"), ("150", 200, "warning-1")):
        answer = desk.post(address, **{**KIT, **proposed, "second_2": typed}, action="save")
        page = answer.get_data(as_text=True)
        assert answer.status_code == status
        assert f'id="{said}"' in page
        assert _fields(page)["second_2"] == typed
    once = desk.post(address, **{**KIT, **proposed, "second_2": "30", "runs_2": "1"}, action="cost")
    assert "This bench has no second run" in once.get_data(as_text=True)
    assert _counts(planned, planned.practical_id) == set()


def test_each_run_is_offered_and_held_against_its_own_count(desk: Reader, a_class: AClass) -> None:
    _give(a_class, BenchPlanLine(4, inversions=60, second_inversions=30))
    address = f"/desk/{a_class.practical_id}/enter?bench=4"
    for offered in ("60", "30", "60"):
        assert re.search(rf'id="inversions"[^>]* value="{offered}"', desk.text(address))
        _enter(a_class, Typed(offered, Decimal(offered), ""))
    runs = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).result
    assert runs is not None
    assert [run.readings.planned_inversions for run in runs.runs] == [60, 30, 60]
    rows = desk.text(f"/desk/{a_class.practical_id}/runs.csv").splitlines()
    column = rows[0].split(",").index("planned_inversions")
    assert [row.split(",")[column] for row in rows[1:]] == ["60", "30", "60"]


def test_the_grid_knows_the_count_of_each_run_and_the_last_stands_for_all_later() -> None:
    grey = in_grey(a_plan(bench_plans=(BenchPlanLine(4, inversions=60, second_inversions=30),)))
    counts = {bench: [run["inversions"] for run in runs] for bench, runs in grey["benches"].items()}
    assert counts == {4: ["60", "30", "60"]}
    assert {run["inversions"] for run in grey["others"]} == {"50"}


def _give(a_class: AClass, line: BenchPlanLine) -> None:
    found = practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    plan = replace(found.plan, bench_plans=(line,))
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )


def _enter(a_class: AClass, inversions: Typed) -> None:
    enter_run(
        a_class.database,
        actor=a_class.teacher,
        key=new_key(),
        entry=an_entry(inversions=inversions),
        now=NOW,
        practical_id=a_class.practical_id,
        bench_number=4,
    )
