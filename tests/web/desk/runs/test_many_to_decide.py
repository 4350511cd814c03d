"""Many runs to decide about: a page at a time, a correction on the bench's word, a whole bench, bad input."""

from __future__ import annotations

import html
import re

import pytest

from app.analysis.if_decided import Outcome
from app.analysis.results import ClassValue
from app.practicals.board import what_if as what_ifs
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.lesson.states import finish_practical
from app.practicals.made_up.rehearsal import end_rehearsal, rehearse
from app.practicals.runs.history import history
from app.practicals.runs.sending import enter_run
from app.web.desk.runs import cases
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader
from tests.web.desk.runs.test_slip_undone import AT, SLIPS, _class_with

CASE = re.compile(r'<article class="decision[^"]*" id="run-(\d+)"')


def _now(a_class: AClass) -> Snapshot:
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)


@pytest.fixture
def cold_class(a_class: AClass) -> AClass:
    """Twelve benches with two runs each, all of them colder at the end: 24 flagged runs."""
    for number in range(1, 13):
        bench = a_class.join(number)
        for end in ("19.0", "19.1"):
            enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(end=end), now=NOW)
    return a_class


def test_every_flagged_run_stands_on_one_of_the_pages(desk: Reader, cold_class: AClass) -> None:
    address = f"/desk/{cold_class.practical_id}/decisions"
    pages = [CASE.findall(desk.text(f"{address}?page={number}")) for number in (1, 2, 3)]
    assert [len(page) for page in pages] == [10, 10, 4]
    assert [int(run) for page in pages for run in page] == [run.run_id for run in _now(cold_class).runs]
    assert "Runs 11 to 20 of 24" in desk.text(f"{address}?page=2")


def test_a_page_number_out_of_range_shows_the_nearest_page(desk: Reader, cold_class: AClass) -> None:
    address = f"/desk/{cold_class.practical_id}/decisions?page="
    first, last = (CASE.findall(desk.text(address + number)) for number in "13")
    assert first != last
    for number in ("0", "-3", "9" * 5000, "two", "", "2.5"):
        assert CASE.findall(desk.text(address + number)) == first, number
    for number in ("4", "1000000"):
        assert CASE.findall(desk.text(address + number)) == last, number


def test_the_link_beside_a_run_leads_to_the_page_on_which_it_stands(desk: Reader, cold_class: AClass) -> None:
    last = _now(cold_class).runs[-1]
    lesson = desk.text(f"/desk/{cold_class.practical_id}/")
    link = re.search(rf'id="decide-{last.run_id}" href="([^"#]+)#run-{last.run_id}"', lesson)
    assert link
    assert str(last.run_id) in CASE.findall(desk.text(link.group(1)))


def test_after_a_decision_the_same_page_of_the_list_comes_back(desk: Reader, cold_class: AClass) -> None:
    run = _now(cold_class).runs[12]
    form = {"run_revision": "1", "action": "count", "reason": "cold room", "page": "2"}
    answer = desk.post(f"/desk/{cold_class.practical_id}/run/{run.run_id}/decide", **form)
    assert answer.status_code == 302
    assert answer.location.endswith("/decisions?page=2#open-title")
    page = desk.text(answer.location)
    assert "Runs 11 to 20 of 23" in page
    assert "?decided=" not in page, "one decided run is a list without parts"


def test_a_run_refused_stands_on_its_own_page_with_what_was_typed(desk: Reader, cold_class: AClass) -> None:
    run = _now(cold_class).runs[-1]
    form = {"run_revision": "7", "action": "count", "reason": "cold room", "page": "1"}
    answer = desk.post(f"/desk/{cold_class.practical_id}/run/{run.run_id}/decide", **form)
    assert answer.status_code == 409
    page = answer.get_data(as_text=True)
    assert str(run.run_id) in CASE.findall(page)
    assert "cold room" in page


def test_a_large_class_works_out_an_outcome_only_where_it_is_asked_for(
    desk: Reader, cold_class: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cases, "LARGE_CLASS", 23)
    asked: list[tuple[int, int]] = []

    def counted(snapshot: Snapshot, bench: int, run: int) -> what_ifs.Effects:
        asked.append((bench, run))
        return what_ifs.what_if(snapshot, bench, run)

    monkeypatch.setattr(cases, "what_if", counted)
    address = f"/desk/{cold_class.practical_id}/decisions"
    page = desk.text(address)
    assert asked == []
    run = _now(cold_class).runs[3]
    link = f"decisions?run={run.run_id}&effects={run.run_id}#run-{run.run_id}"
    assert link in page
    worked = desk.text(f"{address}?run={run.run_id}&effects={run.run_id}")
    assert asked == [(run.bench_number, run.number)]
    assert worked.count("counted, as now") == 1
    form = {"run_revision": "1", "action": "set-aside", "reason": "cold room"}
    desk.post(f"/desk/{cold_class.practical_id}/run/{run.run_id}/decide", **form)
    for asked_for, shown in (("", False), ("?effects=all", True)):
        assert ("If nothing were set aside" in desk.text(f"{address}{asked_for}")) is shown


@pytest.mark.parametrize("typed", SLIPS)
def test_the_bench_says_so_stores_the_suspected_correction_with_one_press(
    desk: Reader, a_class: AClass, typed: str
) -> None:
    """The class's value is then what the desk said that the correction would make of it."""
    name, change = SLIPS[typed]
    snapshot, runs = _class_with(a_class, change)
    run = snapshot.runs[AT]
    assert snapshot.result is not None
    slip = snapshot.result.runs[AT].suspected_slip
    assert slip is not None
    assert slip.slip == name
    page = desk.text(f"/desk/{a_class.practical_id}/decisions")
    form = _form_of(page, run.run_id)
    assert any(name.startswith("becomes_") for name in form)
    answer = desk.post(f"/desk/{a_class.practical_id}/run/{run.run_id}/bench-says-so", **form)
    assert answer.status_code == 302
    again = desk.post(f"/desk/{a_class.practical_id}/run/{run.run_id}/bench-says-so", **form)
    assert again.status_code == 302, "a second tap"
    now = _now(a_class)
    assert now.result is not None
    _same_class_value(what_ifs.what_if(snapshot, 2, 2).slip_undone, now.result.class_value)
    stored = now.runs[AT]
    assert stored.version == 2
    for name, value in stored.entry.in_si.items():
        wanted = getattr(runs[AT], name)
        assert value == (None if wanted is None else pytest.approx(wanted, rel=2e-4)), name
    lines = history(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    assert [line.reason for line in lines if line.kind == "run corrected"] == ["The bench says so."]
    told = "Bench 2, run 2 is corrected as the bench says; the earlier readings stay in the history."
    assert told in desk.text(f"/desk/{a_class.practical_id}/history")


def _same_class_value(outcome: Outcome | None, found: ClassValue | None) -> None:
    assert outcome is not None
    said = outcome.class_value
    assert said is not None
    assert found is not None
    assert (said.runs, said.benches) == (found.runs, found.benches)
    assert said.apparent_heat_capacity_J_per_kg_K == pytest.approx(
        found.apparent_heat_capacity_J_per_kg_K, rel=2e-4
    )


def _form_of(page: str, run_id: int) -> dict[str, str]:
    """The hidden fields of the run's form."""
    sheet = page.split(f'id="run-{run_id}"', 1)[1].split("</article>", 1)[0]
    fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', sheet)
    return {name: html.unescape(value) for name, value in fields if name != "csrf_token"}


def test_a_correction_on_the_benchs_word_keeps_to_what_was_seen_and_typed(
    desk: Reader, a_class: AClass
) -> None:
    snapshot, _ = _class_with(a_class, SLIPS["start and end swapped"][1])
    run = snapshot.runs[AT]
    form = _form_of(desk.text(f"/desk/{a_class.practical_id}/decisions"), run.run_id)
    address = f"/desk/{a_class.practical_id}/run/{run.run_id}/bench-says-so"
    refused = {
        422: {"becomes_end_temperature": "warm"},
        409: {"run_revision": "9", "key": new_key()},
    }
    for status, change in refused.items():
        answer = desk.post(address, **form | change, reason="asked Ada's table")
        assert answer.status_code == status
        assert "asked Ada&#39;s table" in answer.get_data(as_text=True)
    without = {name: text for name, text in form.items() if name != "run_revision"}
    assert desk.post(address, **without).status_code == 422
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    assert desk.post(address, **form).status_code == 422
    assert _now(a_class).runs[AT].version == 1
    assert "bench-says-so" not in desk.text(f"/desk/{a_class.practical_id}/decisions")


def test_a_run_whose_rehearsal_was_removed_says_so_and_keeps_the_reason(
    desk: Reader, a_class: AClass
) -> None:
    rehearse(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, seed=1, now=NOW)
    run = _now(a_class).runs[0]
    end_rehearsal(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    for what in ("decide", "bench-says-so"):
        form = {"run_revision": "1", "action": "count", "reason": "dropped the cap"}
        answer = desk.post(f"/desk/{a_class.practical_id}/run/{run.run_id}/{what}", **form)
        page = answer.get_data(as_text=True)
        assert answer.status_code == 404
        assert "no longer there" in page
        assert "dropped the cap" in page


def test_a_bench_is_set_aside_and_the_step_undone_at_the_desk(desk: Reader, cold_class: AClass) -> None:
    address = f"/desk/{cold_class.practical_id}"
    page = desk.text(f"{address}/decisions?bench=5")
    chosen = re.search(r'<option value="(5:[^"]+)" selected', page)
    assert chosen
    form = {"bench": chosen.group(1), "reason": "wrong shot"}
    assert desk.post(f"{address}/bench-aside", **form | {"reason": " "}).status_code == 422
    assert desk.post(f"{address}/bench-aside", **form).status_code == 302
    assert [run.bench_number for run in _now(cold_class).runs if run.set_aside] == [5, 5]
    page = desk.text(f"{address}/decisions")
    assert "2 runs are set aside" in page
    undo = re.search(r'action="([^"]+/undo)"', page)
    assert undo
    assert desk.post(undo.group(1)).status_code == 302
    assert "Undone: 2 runs count again." in desk.text(f"{address}/decisions")
    assert not any(run.set_aside for run in _now(cold_class).runs)
    assert desk.post(undo.group(1)).status_code == 302
    assert "That is undone already" in desk.text(f"{address}/decisions")
    assert desk.text(f"{address}/history").count("Setting the bench aside was undone.") == 2


def test_a_bench_that_cannot_be_set_aside_keeps_the_reason(desk: Reader, cold_class: AClass) -> None:
    for bench in ("", "all", "14:1.1", "5:9.9", "5", "-1:2.2"):
        form = {"bench": bench, "reason": "wrong shot"}
        answer = desk.post(f"/desk/{cold_class.practical_id}/bench-aside", **form)
        assert answer.status_code in (409, 422), bench
        assert 'value="wrong shot"' in answer.get_data(as_text=True), bench
    assert not any(run.set_aside for run in _now(cold_class).runs)
