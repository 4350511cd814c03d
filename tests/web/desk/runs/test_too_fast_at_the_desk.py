"""Runs that came too fast, at the desk: first among what needs the teacher, and gone with one tap."""

from __future__ import annotations

import re

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.reading import RunDetails
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader

FLOOD = 10
TOLD = "7 runs came sooner than their bench can have made them. They do not count until you decide."


@pytest.fixture
def flooded(a_class: AClass) -> AClass:
    """Bench 11 has sent ten runs in one instant."""
    bench = a_class.join(11)
    for _ in range(FLOOD):
        enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    return a_class


def _of_eleven(one: AClass) -> tuple[list[RunDetails], list[RunDetails]]:
    """Its runs in the class, and those held back."""
    seen = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    return list(seen.runs_of(11)), list(seen.held_back)


def test_the_lesson_page_says_what_waits_and_lists_but_a_few_of_a_flood(
    desk: Reader, flooded: AClass
) -> None:
    for page in ("", "live"):
        text = desk.text(f"/desk/{flooded.practical_id}/{page}")
        assert TOLD in text
        assert "7 more wait for you" in text
        assert text.count(">waits for you</span>") == 5
        assert "and 2 more that came too fast" in text
    bench = desk.text(f"/desk/{flooded.practical_id}/bench/11")
    assert TOLD in bench
    assert bench.count(">waits for you</span>") == 7


@pytest.mark.parametrize(("answer", "told"), [("count", "7 runs count now"), ("set-aside", "7 runs are set")])
def test_one_tap_decides_about_all_of_them_and_the_history_says_why(
    desk: Reader, flooded: AClass, answer: str, told: str
) -> None:
    lesson = f"/desk/{flooded.practical_id}/"
    (up_to,) = re.findall(r'name="up_to" value="(\d+)"', desk.text(lesson))
    address = f"{lesson}bench/11/too-fast"
    assert desk.post(address, waiting=answer, back="lesson", up_to=up_to).headers["Location"] == lesson
    assert f"Bench 11: {told}" in (page := desk.text(lesson))
    assert TOLD not in page
    in_class, held_back = _of_eleven(flooded)
    assert (len(in_class), len(held_back)) == ((FLOOD, 0) if answer == "count" else (3, 7))
    assert not any(run.waits for run in held_back)
    desk.post(address, waiting=answer, back="lesson", up_to=up_to)
    assert "No run of bench 11 waits any more" in desk.text(lesson)
    reason = "The bench made them" if answer == "count" else "They came sooner than the bench can have"
    assert desk.text(f"{lesson}history").count(reason) == 7


def test_what_was_set_aside_can_count_after_all_with_a_reason(desk: Reader, flooded: AClass) -> None:
    here, form = f"/desk/{flooded.practical_id}/", {"back": "decisions", "up_to": "10"}
    desk.post(f"{here}bench/11/too-fast", waiting="set-aside", **form)
    page = desk.text(f"{here}decisions")
    assert "7 runs that came too fast are set aside." in page
    assert "Count those set aside after all" in page
    desk.post(f"{here}bench/11/too-fast", waiting="count-after-all", reason="they were offline", **form)
    assert len(_of_eleven(flooded)[0]) == FLOOD
    assert desk.text(f"{here}history").count("they were offline") == 7
    long = "x" * 501
    enter_run(
        flooded.database, actor=flooded.join(12), key=new_key(), entry=an_entry(), now=NOW
    )  # in time: nothing waits there
    desk.post(f"{here}bench/12/too-fast", waiting="count", reason=long, **form)
    assert "Give a reason of up to 500 characters" in desk.text(f"{here}decisions")


def test_a_page_opened_before_such_a_run_was_set_aside_is_told_of_that_decision(
    desk: Reader, flooded: AClass
) -> None:
    here = f"/desk/{flooded.practical_id}/"
    desk.post(f"{here}bench/11/too-fast", waiting="count", back="decisions", up_to="10")
    run = _of_eleven(flooded)[0][-1]
    seen = {"action": "set-aside", "run_revision": str(run.run_revision)}
    decide = f"{here}run/{run.run_id}/decide"
    for _ in range(2):  # the second tap on the button gets the answer of the first
        assert desk.post(decide, reason="no time for it", **seen).status_code == 302
    says_so = f"{here}run/{run.run_id}/bench-says-so"
    for address, why in ((decide, "bench 11, run 10 aside (“no time for it”)"), (says_so, "by someone else")):
        late = desk.post(address, reason="shot leaked", key=new_key(), **seen)
        assert late.status_code == 409
        page = late.get_data(as_text=True)
        assert why in page
        assert page.count("“shot leaked”") == 1, "what was typed is not lost"
        assert "no longer there" not in page
    assert [held.run_revision for held in _of_eleven(flooded)[1]] == [run.run_revision + 1]


def test_the_whole_bench_goes_with_one_decision(desk: Reader, flooded: AClass) -> None:
    here = f"/desk/{flooded.practical_id}/"
    page = desk.text(f"{here}decisions?bench=11")
    (chosen,) = re.findall(
        r'<option value="(11:[^"]+)" selected>Bench 11: 3 runs that count, 7 that wait<', page
    )
    desk.post(f"{here}bench-aside", bench=chosen, reason="one phone made all of this up")
    assert "Bench 11: 10 runs are set aside." in desk.text(f"{here}decisions")
    in_class, held_back = _of_eleven(flooded)
    assert [run.set_aside for run in (*in_class, *held_back)] == [True] * FLOOD


def test_finishing_says_what_still_waits_and_so_does_the_finished_practical(
    desk: Reader, flooded: AClass
) -> None:
    finish = f"/desk/{flooded.practical_id}/conduct/finish"
    asked = desk.post(finish).get_data(as_text=True)
    assert "7 runs came too fast and wait for you" in asked
    desk.post(finish, sure="yes")
    assert TOLD in desk.text(f"/desk/{flooded.practical_id}/")
    assert len(_of_eleven(flooded)[0]) == 3


def test_the_report_says_what_waits_and_one_decision_is_one_row_of_it(desk: Reader, flooded: AClass) -> None:
    report, waiting = f"/board/{flooded.practical_id}/report", "too fast and wait for the teacher: 7."
    assert waiting in desk.text(report)
    here = f"/desk/{flooded.practical_id}/bench/11/too-fast"
    desk.post(here, waiting="set-aside", back="decisions", up_to="10")
    page = desk.text(report)
    assert waiting not in page
    assert page.count("They came sooner than the bench can have made them.") == 1
    assert "4–10" in page


def test_a_correction_page_opens_for_a_run_that_waits(desk: Reader, flooded: AClass) -> None:
    waits = _of_eleven(flooded)[1][0]
    assert desk.get(f"/desk/{flooded.practical_id}/run/{waits.run_id}/correct").status_code == 200
