"""A run table's file put into the rows of the grid by the names of its columns, seen before it is stored."""

from __future__ import annotations

import html
import io
import re

import openpyxl

from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.runs.reading import RunDetails, runs_in
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, a_plan, an_entry, new_key
from tests.web.desk.conftest import Reader
from tests.web.form_token import form_token

HEADER = (
    "bench,run,shot_mass_g,tube_length_cm,end_allowance_cm,inversions,start_temperature_C,end_temperature_C"
)
TWO = f"{HEADER}\n3,1,340,100,5,50,19.2,21.4\n3,2,340,100,5,50,19.4,21.5\n"


def stored(a_class: AClass) -> list[RunDetails]:
    """The runs in the records."""
    with a_class.database.reading() as session:
        return runs_in(session, a_class.practical_id)


def read(desk: Reader, a_class: AClass, data: bytes, **form: str) -> tuple[int, str]:
    """Send a file with what the grid holds: the status, and the page in words."""
    sent = {
        "csrf_token": form_token(desk.client),
        "action": "read",
        "run_table": (io.BytesIO(data), "runs.csv"),
        **form,
    }
    answer = desk.client.post(
        f"/desk/{a_class.practical_id}/grid", data=sent, content_type="multipart/form-data"
    )
    return answer.status_code, html.unescape(answer.get_data(as_text=True))


def fields_of(page: str) -> dict[str, str]:
    """What the grid's form holds, as a browser would send it."""
    return dict(re.findall(r'name="((?:key|[a-z_]+)_\d+)"[^>]* value="([^"]*)"', page))


def store(desk: Reader, a_class: AClass, page: str, action: str = "store") -> tuple[int, str]:
    """Press a button of a page that a file was read into."""
    sent = {"csrf_token": form_token(desk.client), "action": action, **fields_of(page)}
    asked = re.findall(r'name="asked" value="(\w+)"', page)
    answer = desk.client.post(f"/desk/{a_class.practical_id}/grid", data={**sent, "asked": asked})
    return answer.status_code, html.unescape(answer.get_data(as_text=True))


def test_a_class_s_table_is_read_into_another_class_with_the_same_readings(
    desk: Reader, a_class: AClass
) -> None:
    swapped = an_entry(start="21.4", end="19.2")
    for number, entry in ((3, an_entry()), (3, an_entry(start="19.25")), (4, swapped)):
        enter_run(
            a_class.database,
            actor=a_class.teacher,
            key=new_key(),
            entry=entry,
            now=NOW,
            practical_id=a_class.practical_id,
            bench_number=number,
        )
    table = desk.get(f"/desk/{a_class.practical_id}/runs.csv").data
    plan = a_plan(title="Period 5")
    planned = plan_practical(a_class.database, actor=a_class.teacher, plan=plan, now=NOW)
    here = planned.practical_id
    opened = open_practical(a_class.database, actor=a_class.teacher, practical_id=here, now=NOW)
    other = AClass(a_class.database, a_class.teacher, opened)
    status, page = read(desk, other, table)
    assert status == 200
    assert "Runs from the file: 3. Nothing is stored yet." in page
    assert "Simulated in the file" not in page
    assert not stored(other)
    assert "are the two swapped?" in page, "bench 4's slip is asked about as on its phone"
    assert store(desk, other, page, "as-typed")[0] == 302
    for before, after in zip(stored(a_class), stored(other), strict=True):
        assert (before.bench_number, before.number) == (after.bench_number, after.number)
        assert before.entry.in_si == after.entry.in_si


def test_a_file_is_put_behind_what_is_typed_with_either_decimal_mark(desk: Reader, a_class: AClass) -> None:
    data = TWO.replace(",", ";").replace(".", ",").encode("utf-8-sig")
    typed = {"key_4": new_key(), "bench_number_4": "1", "shot_mass_4": "339", "bench_number_5": "2"}
    status, page = read(desk, a_class, data, **typed)
    assert status == 422, "the typed row has no temperatures yet"
    fields = fields_of(page)
    assert (fields["shot_mass_4"], fields["key_4"]) == ("339", typed["key_4"])
    assert (fields["shot_mass_5"], fields["end_temperature_5"]) == ("340", "21,4")
    assert (fields["bench_number_6"], fields["end_temperature_6"]) == ("3", "21,5")


def test_the_runs_of_a_bench_come_in_the_order_of_their_numbers(desk: Reader, a_class: AClass) -> None:
    lines = TWO.splitlines()
    status, page = read(
        desk, a_class, "\n".join([lines[0], lines[2].replace("3,2,", "3,999999999,"), lines[1]]).encode()
    )
    assert status == 200
    assert store(desk, a_class, page)[0] == 302
    assert [run.entry.start_temperature.raw for run in stored(a_class)] == ["19.2", "19.4"]


def test_what_a_file_says_beside_the_readings_is_told(desk: Reader, a_class: AClass) -> None:
    lines = [
        f"{HEADER},set_aside,simulated,thermometer_step_K,ice_point_C",
        "3,1,340,100,5,50,19.2,21.4,yes,,,0.2",
        "3,2,340,100,5,50,19.4,21.5,,yes,0.1,0.1",
    ]
    status, page = read(desk, a_class, "\n".join([*lines, "4,1,350,100,5,50,19.4,21"]).encode())
    assert status == 200
    assert "Runs from the file: 2. Nothing is stored yet." in page
    assert "Set aside in the file: 1. Here they count like the others, until you decide about them." in page
    assert "Simulated in the file, and left out: 1." in page
    assert "The file's last row (4) ends early. Was the file cut off?" in page
    assert "Not taken from the file: ice_point_C." in page, "the simulated run's thermometer does not count"
    assert "into the plan; the latter may also be typed on the bench's page" in page
    assert "thermometer_step_K" not in page


def test_a_file_of_simulated_runs_only_leaves_rows_to_type_in(desk: Reader, a_class: AClass) -> None:
    status, page = read(desk, a_class, f"{HEADER},simulated\n3,1,340,100,5,50,19.2,21.4,yes\n".encode())
    assert status == 200
    assert "Simulated in the file, and left out: 1." in page
    assert page.count('name="key_') == a_class.practical.plan.planned_benches


def test_numbers_without_end_are_no_bench_and_no_run(desk: Reader, a_class: AClass) -> None:
    many = "9" * 5000
    for bench, run, status in ((many, "1", 422), ("3", many, 200)):
        data = f"{HEADER}\n{bench},{run},340,100,5,50,19.2,21.4\n4,1,340,100,5,50,19.4,21.4\n"
        assert read(desk, a_class, data.encode())[0] == status


def test_every_problem_in_a_file_is_told_by_its_row(desk: Reader, a_class: AClass) -> None:
    rows = ["A,1,340,100,5,50,19.2,21.4", '3,2,"=1+1",100,5,50,,21.5', "4,1,340,100,5,50,19.2,<b>21</b>"]
    status, page = read(desk, a_class, "\n".join([HEADER, *rows]).encode())
    assert status == 422
    for sentence in (
        "Row 1, Bench: A bench number is a whole number between 1 and 99",
        "Row 2, Shot mass: “=1+1” is not a number.",
        "Row 2, Start temperature: Nothing was typed.",
        "Row 3, End temperature: “<b>21</b>” is not a number.",
    ):
        assert sentence in page
    assert fields_of(page)["shot_mass_2"] == "=1+1"
    status, _ = store(desk, a_class, page)
    assert status == 422
    assert not stored(a_class)


def _workbook() -> bytes:
    data = io.BytesIO()
    openpyxl.Workbook().save(data)
    return data.getvalue()


NO_RUN_TABLE = (
    (b"", "The table is empty"),
    (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "Row 1 is not UTF-8 text (byte 0x89)."),
    (_workbook(), "This is a workbook, not a table as text. Save it as CSV and try again."),
    (b"<!doctype html><title>Sign in to the network</title>", "The header (row 1) has no column bench"),
    (f"{TWO}4,1,340 \xfc,100".encode("latin-1"), "Row 4 is not UTF-8 text (byte 0xFC)."),
    (TWO.encode("utf-16"), "Row 1 is not UTF-8 text"),
    (f"{HEADER}\n".encode(), "The table has a header and no runs below it."),
    (f"{TWO}4,1,340,100,5,50,19,2,21,4".encode(), "Row 4 is not as wide as the header"),
    (
        (HEADER + "\n" + TWO.splitlines()[1] * 1 + "\n").encode() + b"3,1,,,,,,\n" * 200,
        "Runs: 202. This page takes at most 200 at a time",  # 201 of the file below the one that is typed
    ),
)


def test_what_is_no_run_table_is_told_and_what_is_typed_stays(desk: Reader, a_class: AClass) -> None:
    typed = {"key_1": new_key(), "bench_number_1": "1", "shot_mass_1": "339"}
    for data, sentence in NO_RUN_TABLE:
        status, page = read(desk, a_class, data, **typed)
        assert status == 422, sentence
        said = re.search(r'<p class="field-problem" id="run_table-problem">([^<]*)', page)
        assert said, sentence
        assert sentence in said[1]
        assert fields_of(page)["shot_mass_1"] == "339"
    assert not stored(a_class)


def test_the_same_file_twice_stores_its_runs_once(desk: Reader, a_class: AClass) -> None:
    assert store(desk, a_class, read(desk, a_class, TWO.encode())[1])[0] == 302
    status, page = read(desk, a_class, f"{TWO}4,1,350,100,5,50,19.4,21.5\n".encode())
    assert status == 200
    assert page.count("of this bench has these very readings.") == 2
    assert store(desk, a_class, page, "leave-out")[0] == 302
    assert [(run.bench_number, run.number) for run in stored(a_class)] == [(3, 1), (3, 2), (4, 1)]
    assert store(desk, a_class, read(desk, a_class, TWO.encode())[1], "leave-out")[0] == 302
    assert "All of these runs were stored already." in desk.text(f"/desk/{a_class.practical_id}/")
    assert len(stored(a_class)) == 3


def test_an_upload_that_is_cut_off_or_far_too_large_stores_nothing(desk: Reader, a_class: AClass) -> None:
    address, kind = f"/desk/{a_class.practical_id}/grid", "multipart/form-data; boundary=x"
    head = "--x\r\nContent-Disposition: form-data; name="
    cut = f'{head}"csrf_token"\r\n\r\n{form_token(desk.client)}\r\n{head}"run_tab'
    for body, status, sentence in (
        (cut, 400, "Reload it and send again."),
        (cut + "1" * 530_000, 413, "That is far more than a run"),
    ):
        answer = desk.client.post(address, data=body, content_type=kind)
        assert answer.status_code == status
        assert sentence in answer.get_data(as_text=True)
    assert not stored(a_class)


def test_as_many_rows_as_a_page_takes_come_with_a_file_and_are_stored(desk: Reader, a_class: AClass) -> None:
    lines = [f"{bench},{run},340,100,5,50,19.2,21.{run}" for bench in range(1, 41) for run in range(1, 6)]
    _, page = read(desk, a_class, "\n".join([HEADER, *lines[:100]]).encode())
    status, page = read(desk, a_class, "\n".join([HEADER, *lines[100:]]).encode(), **fields_of(page))
    assert status == 200, re.findall("<li>.*", page)
    assert store(desk, a_class, page)[0] == 302
    assert [(run.bench_number, run.number) for run in stored(a_class)] == [
        (bench, run) for bench in range(1, 41) for run in range(1, 6)
    ]
