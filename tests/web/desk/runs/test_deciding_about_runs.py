"""Decisions in the open: reasons, effects on the class value, two teachers at once, and the history."""

from __future__ import annotations

import csv
import io
import json
import shlex
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner

from app.analysis.analyse import analyse_class
from app.analysis.results import ClassValue
from app.analysis.views.json import as_plain_data
from app.cli_analyse import analyse
from app.practicals.board.snapshot import class_snapshot, settings_of
from app.practicals.board.what_if import what_if
from app.practicals.lesson.details import BenchPlanLine, Typed
from app.practicals.lesson.plan import change_plan
from app.practicals.runs.decisions import decided_runs, set_aside
from app.practicals.runs.reading import OWN_CALCULATION, RunDetails
from app.practicals.runs.sending import correct_run, enter_run
from tests.practicals.a_class import NOW, AClass, a_teacher, an_entry, new_key
from tests.run_tables import read_run_table
from tests.web.desk.conftest import Reader


def _slipped(a_class: AClass) -> RunDetails:
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    return next(run for run in snapshot.runs if (run.bench_number, run.number) == (4, 1))


def _decide(desk: Reader, a_class: AClass, run: RunDetails, **form: str) -> int:
    address = f"/desk/{a_class.practical_id}/run/{run.run_id}/decide"
    return desk.post(address, **{"run_revision": str(run.run_revision), **form}).status_code


def test_a_flagged_run_stands_with_its_reason_slip_and_effect(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    page = desk.text(f"/desk/{class_with_a_slip.practical_id}/decisions")
    assert "Bench 4, run 1" in page
    assert "colder than it started" in page
    assert "start and end temperature changed places" in page
    assert "corrected as suspected" in page


def test_an_unflagged_run_stands_there_only_while_a_decision_about_it_is_open(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    a_class = class_with_a_slip
    address = f"/desk/{a_class.practical_id}/decisions"
    assert "Bench 4, run 1" in desk.text(address)
    assert "Bench 2, run 1" not in desk.text(address)
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    (asked,) = [run for run in snapshot.runs if (run.bench_number, run.number) == (2, 1)]
    form = {"run_revision": str(asked.run_revision), "action": "set-aside", "reason": ""}
    answer = desk.post(f"/desk/{a_class.practical_id}/run/{asked.run_id}/decide", **form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Bench 2, run 1" in page
    assert "Bench 3, run 1" not in page


def test_the_effects_are_those_of_the_analysis_itself(desk: Reader, class_with_a_slip: AClass) -> None:
    """Against the run table, with the change written into it and analysed from there."""
    a_class = class_with_a_slip
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    runs = read_run_table(desk.get(f"/desk/{a_class.practical_id}/runs.csv").data)
    place = next(n for n, run in enumerate(runs) if (run.bench, run.run) == ("4", "1"))
    slipped = runs[place]
    start, end = slipped.start_temperature_C, slipped.end_temperature_C
    assert end < start

    def with_that_run(**changes: Any) -> ClassValue:
        changed = [*runs[:place], replace(slipped, **changes), *runs[place + 1 :]]
        value = analyse_class(changed, settings_of(a_class.practical.plan)).class_value
        assert value is not None
        return value

    effects = what_if(snapshot, 4, 1)
    aside = with_that_run(set_aside=True)
    assert effects.slip_undone is not None
    assert effects.as_it_stands.class_value == with_that_run()
    assert effects.slip_undone.class_value == with_that_run(start_temperature_C=end, end_temperature_C=start)
    # From the same draws, weighted anew: within a tenth of the half-width of the class fitted again.
    assert _alike(effects.the_other_way.class_value, aside)
    values = {effects.as_it_stands.class_value, effects.the_other_way.class_value, aside}
    assert len(values) == 3, "else nothing is told apart here"
    assert _decide(desk, a_class, _slipped(a_class), action="set-aside", reason="slipped") == 302
    after = what_if(class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher), 4, 1)
    assert after.as_it_stands.class_value == aside
    assert after.the_other_way == effects.as_it_stands
    assert after.slip_undone == effects.slip_undone


def _alike(one: ClassValue | None, other: ClassValue) -> bool:
    """Both ends and the middle within a tenth of the half-width, and as many runs."""
    assert one is not None
    if one.interval_95 is None or other.interval_95 is None:
        return one.apparent_heat_capacity_J_per_kg_K == pytest.approx(
            other.apparent_heat_capacity_J_per_kg_K, rel=0.01
        )
    half = (other.interval_95[1] - other.interval_95[0]) / 2
    pairs = zip(
        (one.apparent_heat_capacity_J_per_kg_K, *one.interval_95),
        (other.apparent_heat_capacity_J_per_kg_K, *other.interval_95),
        strict=True,
    )
    return one.runs == other.runs and all(abs(a - b) < 0.1 * half for a, b in pairs)


def test_setting_aside_needs_a_reason_and_can_be_taken_back(desk: Reader, class_with_a_slip: AClass) -> None:
    a_class = class_with_a_slip
    run = _slipped(a_class)
    assert _decide(desk, a_class, run, action="set-aside", reason=" ") == 422
    assert not _slipped(a_class).set_aside
    assert _decide(desk, a_class, run, action="set-aside", reason="thermometer slipped out") == 302
    assert _slipped(a_class).set_aside
    page = desk.text(f"/desk/{a_class.practical_id}/decisions")
    assert "thermometer slipped out" in page
    assert "With every run" in page
    assert "Bench 4, run 1 is set aside. It stays in the record" in page
    assert _decide(desk, a_class, _slipped(a_class), action="count", reason="it did not") == 302
    assert "Bench 4, run 1 is counted." in desk.text(f"/desk/{a_class.practical_id}/decisions")
    assert not _slipped(a_class).set_aside
    history = desk.text(f"/desk/{a_class.practical_id}/history")
    assert "thermometer slipped out" in history
    assert "it did not" in history


def test_a_run_that_was_looked_at_and_counted_no_longer_waits(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    a_class = class_with_a_slip
    assert _decide(desk, a_class, _slipped(a_class), action="count", reason="honest reading") == 302
    page = desk.text(f"/desk/{a_class.practical_id}/decisions")
    assert "No run waits for a decision." in page
    assert "looked at, counted" in page
    assert "honest reading" in page


def test_the_second_of_two_teachers_sees_what_the_first_decided(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    a_class = class_with_a_slip
    run = _slipped(a_class)
    head = a_teacher(a_class.database, login="head", is_head=True)
    set_aside(
        a_class.database,
        actor=head,
        run_id=run.run_id,
        reason="tube was dropped",
        expected_revision=run.run_revision,
        now=NOW,
    )
    address = f"/desk/{a_class.practical_id}/run/{run.run_id}/decide"
    form = {"run_revision": str(run.run_revision), "action": "count", "reason": "looks fine to me"}
    answer = desk.post(address, **form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "tube was dropped" in page
    assert "looks fine to me" in page, "what the second typed is kept"
    assert _slipped(a_class).set_aside, "the first decision stands"


def test_the_download_reads_back_to_the_same_numbers(desk: Reader, class_with_a_slip: AClass) -> None:
    a_class = class_with_a_slip
    line = BenchPlanLine(2, Decimal("0.34"), Decimal("1.001"), None, 50)
    change_plan(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        plan=replace(a_class.practical.plan, bench_plans=(line,)),
        now=NOW,
    )
    assert _decide(desk, a_class, _slipped(a_class), action="set-aside", reason="=swapped") == 302
    answer = desk.get(f"/desk/{a_class.practical_id}/runs.csv")
    assert answer.mimetype == "text/csv"
    assert "attachment" in answer.headers["Content-Disposition"]
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    read = analyse_class(read_run_table(answer.data), settings_of(snapshot.practical.plan))
    assert snapshot.result is not None
    assert read.class_value == snapshot.result.class_value
    assert [run.readings for run in read.runs] == [run.readings for run in snapshot.result.runs]
    assert {run.readings.planned_shot_mass_kg for run in read.runs} == {None, 0.34}, "the plan travels too"
    rows = list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"))))
    decided = next(row for row in rows if row["decision"])
    assert (decided["bench"], decided["decision"], decided["set_aside"]) == ("4", "set aside", "yes")
    assert decided["decision_reason"] == "'=swapped", "a spreadsheet must not take it for a formula"
    assert decided["decided_by"]


def test_the_command_shown_beside_the_download_gives_the_pages_numbers(
    desk: Reader, class_with_a_slip: AClass, tmp_path: Path
) -> None:
    a_class = class_with_a_slip
    change_plan(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        plan=replace(
            a_class.practical.plan, u_gravity_m_per_s2=Decimal("0.017"), room_temperature_C=Decimal("20.5")
        ),
        now=NOW,
    )
    page = desk.text(f"/desk/{a_class.practical_id}/")
    words = shlex.split(page.split('<code class="command">')[1].split("</code>")[0])
    assert words[:2] == ["plumbfall", "analyse"]
    (tmp_path / words[2]).write_bytes(desk.get(f"/desk/{a_class.practical_id}/runs.csv").data)
    done = CliRunner().invoke(analyse, [str(tmp_path / words[2]), *words[3:], "--json"])
    assert done.exit_code == 0, done.output
    result = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).result
    assert result is not None
    assert json.loads(done.output) == json.loads(json.dumps(as_plain_data(result)))


def test_the_workbook_has_numbers_as_numbers_and_no_formula(desk: Reader, class_with_a_slip: AClass) -> None:
    a_class = class_with_a_slip
    assert _decide(desk, a_class, _slipped(a_class), action="set-aside", reason="=1+1") == 302
    answer = desk.get(f"/desk/{a_class.practical_id}/runs.xlsx")
    book = openpyxl.load_workbook(io.BytesIO(answer.data))
    sheet = book.worksheets[0]
    header = [cell.value for cell in sheet[1]]
    first = {name: sheet.cell(2, place).value for place, name in enumerate(header, 1)}
    assert first["shot_mass_g"] == 340
    assert isinstance(first["apparent_heat_capacity_J_per_kg_K"], float)
    reasons = [sheet.cell(row, header.index("decision_reason") + 1) for row in range(2, 16)]
    kept = next(cell for cell in reasons if cell.value)
    assert (kept.value, kept.data_type) == ("=1+1", "s"), "a text, not a formula"


def test_a_decision_holds_until_the_readings_are_corrected(desk: Reader, class_with_a_slip: AClass) -> None:
    a_class = class_with_a_slip
    _decide(desk, a_class, _slipped(a_class), action="count", reason="honest reading")
    decided = decided_runs(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    run = _slipped(a_class)
    assert decided == {run.run_id}
    own = replace(run.entry, own_heat_capacity=Typed("190", Decimal(190), "J/(kg·K)"))
    again: dict[str, Any] = {"actor": a_class.teacher, "run_id": run.run_id, "now": NOW}
    correct_run(
        a_class.database, key=new_key(), entry=own, reason="told aloud", own_calculation=True, **again
    )
    still = decided_runs(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    assert still == decided, "a bench's own calculation changes no reading"
    entry = an_entry(start="19.2", end="21.5")
    correct_run(a_class.database, key=new_key(), entry=entry, reason="they swapped", **again)
    assert not decided_runs(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)


def test_a_benchs_own_calculation_is_not_told_as_a_correction(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    a_class = class_with_a_slip
    run = _slipped(a_class)
    own = replace(run.entry, own_heat_capacity=Typed("231", Decimal(231), "J/(kg·K)"))
    again: dict[str, Any] = {"actor": a_class.teacher, "run_id": run.run_id, "now": NOW}
    correct_run(
        a_class.database, key=new_key(), entry=own, reason="told aloud", own_calculation=True, **again
    )
    page = desk.text(f"/desk/{a_class.practical_id}/history")
    assert "own calculation" in page
    assert "231 J/(kg·K)" in page.replace("\u00a0", " ")
    assert "Run corrected" not in page
    assert "Nothing was set aside or corrected." in desk.text(f"/board/{a_class.practical_id}/report")
    table = desk.get(f"/desk/{a_class.practical_id}/runs.csv").get_data(as_text=True)
    assert OWN_CALCULATION not in table


def test_a_run_whose_interval_has_no_upper_end_says_why(desk: Reader, class_with_a_slip: AClass) -> None:
    one = class_with_a_slip
    assert "no upper end" not in desk.text(f"/desk/{one.practical_id}/")
    entry = an_entry(start="19.20", end="19.25")
    enter_run(one.database, actor=one.join(8), key=new_key(), entry=entry, now=NOW)
    for page in ("", "decisions"):
        assert "so there is no upper end" in desk.text(f"/desk/{one.practical_id}/{page}"), page
