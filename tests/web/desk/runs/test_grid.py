"""Many runs in rows at the desk: read and asked about like a single one, stored together or not at all."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from decimal import Decimal

from flask import Flask

from app.practicals.benches.watch import benches_of
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import change_plan
from app.practicals.lesson.states import finish_practical
from app.practicals.runs.reading import RunDetails, runs_in
from app.records.choices import ActorKind
from tests.practicals.a_class import NOW, AClass, a_teacher, new_key
from tests.web.desk.conftest import Reader

KEYS = ("bench_number", "shot_mass", "start_temperature", "end_temperature")
FORMULA, MARKUP = '=HYPERLINK("x")', "<script>alert(1)</script>"


def row(place: int, *typed: str, **more: str) -> dict[str, str]:
    """The fields of one row (bench, mass, start, end, then others by name), with a key of its own."""
    fields = dict(zip(KEYS, typed, strict=False)) | more
    return {f"key_{place}": new_key()} | {f"{name}_{place}": text for name, text in fields.items()}


def stored(a_class: AClass) -> list[RunDetails]:
    """The runs in the records."""
    with a_class.database.reading() as session:
        return runs_in(session, a_class.practical_id)


def send(desk: Reader, a_class: AClass, *, action: str = "store", **form: str) -> tuple[int, str]:
    """Post the grid: the status, and the page in words."""
    answer = desk.post(f"/desk/{a_class.practical_id}/grid", action=action, **form)
    return answer.status_code, html.unescape(answer.get_data(as_text=True))


def test_rows_are_stored_in_their_order_as_typed_by_the_teacher(desk: Reader, a_class: AClass) -> None:
    page = desk.text(f"/desk/{a_class.practical_id}/grid")
    assert page.count('name="key_') == a_class.practical.plan.planned_benches
    form = row(1, "3", "340", "19.2", "21.4") | row(2, "3", "340 g", "19,4", "21,5", inversions="52")
    status, _ = send(desk, a_class, **form, **row(3, "4"))
    assert status == 302
    runs = stored(a_class)
    assert [(run.bench_number, run.number, run.entered_by) for run in runs] == [
        (3, 1, ActorKind.TEACHER),
        (3, 2, ActorKind.TEACHER),
    ]
    assert [run.entry.inversions.value for run in runs] == [50, 52], "the plan's where nothing was typed"
    assert [run.entry.end_temperature.value for run in runs] == [Decimal("21.4"), Decimal("21.5")]
    assert runs[0].entry.end_allowance.value == Decimal("0.05")
    lesson = desk.text(f"/desk/{a_class.practical_id}/")
    assert "Runs stored: 2." in lesson
    assert lesson.count("typed by the teacher") == 2


def test_each_run_takes_what_the_plan_gives_its_bench_and_number(desk: Reader, a_class: AClass) -> None:
    line = BenchPlanLine(2, tube_length_m=Decimal("1.2"), inversions=60, second_inversions=30)
    plan = replace(a_class.practical.plan, bench_plans=(line,))
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )
    form = row(1, "2", "340", "19.2", "22.4") | row(2, "2", "340", "19.3", "20.9")
    assert send(desk, a_class, **form)[0] == 302
    assert [run.entry.inversions.value for run in stored(a_class)] == [60, 30]
    assert {run.entry.tube_length.value for run in stored(a_class)} == {Decimal("1.2")}


def test_what_the_caps_and_the_depth_make_takes_the_place_of_the_planned_allowance(
    desk: Reader, a_class: AClass
) -> None:
    form = row(1, "2", "340", "19.2", "21.4", caps="2", settled_depth="5,2") | row(
        2, "3", "340", "19.2", "21.5"
    )
    assert send(desk, a_class, **form)[0] == 302
    assert [run.entry.end_allowance.value for run in stored(a_class)] == [Decimal("0.072"), Decimal("0.05")]


BAD = (
    ("bench_number", "", "A bench number is a whole number between 1 and 99"),
    ("bench_number", "100", "A bench number is a whole number between 1 and 99"),
    ("bench_number", "3; 4", "A bench number is a whole number between 1 and 99"),
    ("shot_mass", "", "Nothing was typed."),
    ("shot_mass", FORMULA, "is not a number"),
    ("shot_mass", MARKUP, "is not a number"),
    ("start_temperature", "1.234,5", "Write"),
    ("start_temperature", "nan", "is not a number"),
    ("end_temperature", "Infinity", "is not a number"),
    ("end_temperature", "1e999", "Write the number out in full"),
    ("inversions", "50.5", "is not a whole number"),
    ("room_temperature", "9" * 500, "That text is too long for a reading."),
)


def test_every_bad_cell_is_told_beside_it_and_no_row_is_stored(desk: Reader, a_class: AClass) -> None:
    form = row(1, "1", "340", "19.2", "21.4")
    for place, (name, text, _) in enumerate(BAD, 2):
        form |= row(place, "2", "350", "19.2", "21.5") | {f"{name}_{place}": text}
    answer = desk.post(f"/desk/{a_class.practical_id}/grid", action="store", **form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    for place, (name, text, sentence) in enumerate(BAD, 2):
        said = re.search(rf'<p class="field-problem" id="{name}_{place}-problem">([^<]*)</p>', page)
        assert said, (name, text)
        assert sentence in html.unescape(said[1])
        cell = re.search(rf'<input id="{name}_{place}"[^>]*>', page)
        assert cell
        assert f'aria-invalid="true" aria-describedby="{name}_{place}-problem"' in cell[0]
        assert f'value="{text}"' in html.unescape(cell[0])
    assert page.count("field-problem") == len(BAD)
    assert re.findall(r"Further cells to look at: (\d+)", page) == ["2"]
    assert f'name="key_1" value="{form["key_1"]}"' in page, "what is right stays too, with its key"
    assert MARKUP not in page
    ten = {name: text for name, text in form.items() if int(name.rpartition("_")[2]) <= 11}
    status, page = send(desk, a_class, **ten)
    assert (status, "Further cells" in page) == (422, False), "ten cells are listed one by one"
    assert not stored(a_class)


def test_a_page_without_a_reading_says_so(desk: Reader, a_class: AClass) -> None:
    for form in ({}, row(1, "1") | row(2, "2", "  ", "")):
        status, page = send(desk, a_class, **form)
        assert status == 422
        assert "No row has a reading yet. Type or paste one." in page


def test_an_unlikely_reading_is_asked_about_once_and_kept_as_typed(desk: Reader, a_class: AClass) -> None:
    form = row(1, "1", "3400", "19.2", "21.4") | row(2, "2", "340", "19.2", "21.5")
    status, page = send(desk, a_class, **form)
    assert status == 200
    assert "Row 1, Shot mass: That would be 3.4 kg of shot: did you mean 340 g?" in page
    assert 'aria-describedby="shot_mass_1-warning"' in page
    assert not stored(a_class)
    (asked,) = re.findall(r'name="asked" value="(\w+)"', page)
    changed = form | {"shot_mass_2": "3500"}
    status, page = send(desk, a_class, action="as-typed", asked=asked, **changed)
    assert status == 200
    assert "Row 2, Shot mass" in page
    assert "Row 1, Shot mass" not in page, "it was answered"
    assert f'name="kept" value="{asked}"' in page
    assert send(desk, a_class, kept=asked, **form)[0] == 302
    assert [run.entry.shot_mass.value for run in stored(a_class)] == [Decimal("3.4"), Decimal("0.34")]


def test_rows_that_are_sent_twice_are_stored_once(desk: Reader, a_class: AClass) -> None:
    form = row(1, "1", "340", "19.2", "21.4") | row(2, "1", "340", "19.3", "21.4")
    assert send(desk, a_class, **form)[0] == 302
    assert send(desk, a_class, **form)[0] == 302
    assert "Stored before, and not twice: 2." in desk.text(f"/desk/{a_class.practical_id}/")
    changed = {name: text for name, text in form.items() if name.endswith("_2")} | {
        "end_temperature_2": "21.6"
    }
    status, page = send(desk, a_class, **row(1, "2", "340", "19.2", "21.5"), **changed)
    assert status == 422
    assert "This run was stored before with other readings." in page
    assert [run.number for run in stored(a_class)] == [1, 2]


def test_the_same_readings_again_are_asked_about_and_may_be_left_out(desk: Reader, a_class: AClass) -> None:
    first = row(1, "1", "340", "19.2", "21.4")
    assert send(desk, a_class, **first)[0] == 302
    again = row(1, "1", "340 g", "19,20", "21.4") | row(2, "1", "340", "19.3", "21.4")
    status, page = send(desk, a_class, **again)
    assert status == 200
    assert "Rows whose readings are stored already: 1." in page
    assert 'id="bench_number_1-warning"><p>Run 1 of this bench has these very readings.</p>' in page
    (asked,) = re.findall(r'name="asked" value="(\w+)"', page)
    assert send(desk, a_class, action="leave-out", asked=asked, **again)[0] == 302
    assert [run.entry.start_temperature.raw for run in stored(a_class)] == ["19.2", "19.3"]
    twin = row(1, "1", "340", "19.2", "21.4")
    (asked,) = re.findall(r'name="asked" value="(\w+)"', send(desk, a_class, **twin)[1])
    assert send(desk, a_class, action="as-typed", asked=asked, **twin)[0] == 302
    assert len(stored(a_class)) == 3, "two runs may read the same"


def test_the_same_readings_in_two_rows_are_asked_about_by_their_row(desk: Reader, a_class: AClass) -> None:
    twins = row(1, "1", "340", "19.2", "21.4") | row(2, "1", "340", "19.2", "21.40")
    status, page = send(desk, a_class, **twins)
    assert status == 200
    assert 'id="bench_number_2-warning"><p>Row 1 has these very readings.</p>' in page
    assert "Row 2, Bench: Row 1 has these very readings." in page
    assert "stored already" not in page
    assert not stored(a_class)
    (asked,) = re.findall(r'name="asked" value="(\w+)"', page)
    assert send(desk, a_class, action="as-typed", asked=asked, **twins)[0] == 302
    assert len(stored(a_class)) == 2


def test_a_run_that_came_meanwhile_is_told_where_the_plan_gives_the_next_one_another_count(
    desk: Reader, a_class: AClass
) -> None:
    line = BenchPlanLine(1, inversions=60, second_inversions=45)
    plan = replace(a_class.practical.plan, bench_plans=(line,))
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )
    page = desk.text(f"/desk/{a_class.practical_id}/grid")
    assert 'placeholder="60"' in page
    shown = re.findall(r'name="(grey_1)" value="([^"]*)"', page)
    assert send(desk, a_class, **row(1, "1", "340", "19.2", "21.4"))[0] == 302, "as from the phone"

    form = row(1, "1", "340", "19.2", "21.4") | dict(shown)
    status, page = send(desk, a_class, **form)
    assert status == 200
    told = "By now this is run 2 of bench 1. The plan gives it 45 here; the page showed 60."
    assert f'id="inversions_1-warning"><p>{told}</p>' in page
    assert f"Row 1, Inversions: {told}" in page
    assert "Run 1 of this bench has these very readings." in page
    assert 'value="21.4"' in page, "nothing typed is lost"
    assert len(stored(a_class)) == 1
    form |= dict(re.findall(r'name="(grey_1)" value="([^"]*)"', page))
    (asked,) = re.findall(r'name="asked" value="(\w+)"', page)
    assert send(desk, a_class, action="leave-out", asked=asked, **form)[0] == 302
    assert len(stored(a_class)) == 1
    assert send(desk, a_class, action="as-typed", asked=asked, **form)[0] == 302
    assert [run.entry.inversions.value for run in stored(a_class)] == [60, 45]


def test_more_rows_than_a_page_takes_are_refused_in_words(desk: Reader, a_class: AClass) -> None:
    form: dict[str, str] = {}
    for place in range(1, 202):
        form |= row(place, "1", "340", "19.2", "21.4")
    status, page = send(desk, a_class, **form)
    assert status == 422
    assert "Runs: 201. This page takes at most 200 at a time, so nothing was stored" in page
    flood = {f"shot_mass_{place}": "340 g of lead shot, weighed twice" * 4 for place in range(5000)}
    status, page = send(desk, a_class, **flood)
    assert status == 413
    assert "That is far more than a run's readings. Check what was pasted." in page
    assert not stored(a_class)


def test_a_practical_that_was_closed_meanwhile_stores_nothing_and_keeps_what_is_typed(
    desk: Reader, a_class: AClass
) -> None:
    form = row(1, "1", "340", "19.2", "21.4")
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    status, page = send(desk, a_class, **form)
    assert status == 409
    assert "This practical is not open, so nothing is stored." in page
    assert 'value="21.4"' in page
    assert not stored(a_class)


def test_only_those_who_may_run_a_practical_type_into_it(application: Flask, a_class: AClass) -> None:
    form = row(1, "1", "340", "19.2", "21.4")
    colleague = a_teacher(a_class.database, "mr-ito")
    stranger = a_teacher(a_class.database, "ms-lund", department="Chemistry")
    for who, opened, sent in ((colleague, 200, 403), (stranger, 404, 404)):
        desk = Reader(application.test_client()).let_in(who.login)
        answer = desk.get(f"/desk/{a_class.practical_id}/grid")
        assert answer.status_code == opened
        assert "grid-form" not in answer.get_data(as_text=True)
        assert send(desk, a_class, **form)[0] == sent
    assert not stored(a_class)


def test_a_bench_beyond_the_plan_is_let_in_with_its_runs_and_that_is_said(
    desk: Reader, a_class: AClass
) -> None:
    a_class.join(14, waits=True)
    form = row(1, "13", "340", "19.2", "21.4") | row(2, "14", "340", "19.2", "21.5")
    assert send(desk, a_class, **form, **row(3, "12", "340", "19.2", "21.4"))[0] == 302
    assert "Beyond the plan, and let in with its runs: bench 13, 14." in desk.text(
        f"/desk/{a_class.practical_id}/"
    )
    benches = benches_of(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    assert {bench.number: bench.waits_for_teacher for bench in benches} == dict.fromkeys((12, 13, 14), False)


def test_further_rows_leave_what_is_typed(desk: Reader, a_class: AClass) -> None:
    status, page = send(desk, a_class, action="more", **row(7, "1", "340", "warm", ""))
    assert status == 200
    assert page.count('name="key_') == 1 + a_class.practical.plan.planned_benches
    assert 'name="start_temperature_7" type="text" inputmode="text"' in page
    assert 'value="warm"' in page
    assert "field-problem" not in page
