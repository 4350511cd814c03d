"""The lesson report holds the lesson: set-up, result, figures, readings as typed, decisions, advice."""

from __future__ import annotations

import html
import io
import re
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from pypdf import PdfReader

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.room import RoomTemperature, set_room_temperature
from app.practicals.runs.decisions import set_aside
from tests.figures.classes import a_run
from tests.web.board.conftest import ACCEPTED, Wall
from tests.web.board.reported import send


def _page(wall: Wall, language: str = "en") -> str:
    answer = wall.teacher.get(f"{wall.address}/report", headers={"Accept-Language": language})
    assert answer.status_code == 200
    return html.unescape(answer.get_data(as_text=True))


def _with_a_decision(wall: Wall) -> None:
    send(wall.group, [a_run(7, inversions=500, warming=2.9)])
    run = class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher).runs_of(7)[0]
    set_aside(
        wall.group.database,
        actor=wall.group.teacher,
        run_id=run.run_id,
        reason="counted <every> knock & turn",
        expected_revision=run.run_revision,
        now=datetime.now(UTC),
    )


def test_the_page_has_set_up_result_figures_readings_decisions_and_advice(wall: Wall) -> None:
    _with_a_decision(wall)
    page = _page(wall)
    headings = re.findall(r"<h2>([^<]+)</h2>", page)
    assert headings == [
        "Class result",
        "Set-up",
        "Figures",
        "What each bench was given and used",
        "Where the uncertainty comes from",
        "Readings as typed",
        "Runs that deserve a second look",
        "Decisions and corrections",
        "What would improve it next time",
    ]
    assert ACCEPTED in page
    assert "invented for this test" in page
    assert "counted <every> knock & turn" in page
    assert "<every>" not in wall.teacher.get(f"{wall.address}/report").get_data(as_text=True)
    assert "7 ○" in page


def test_day_teacher_and_department_stand_under_the_title(wall: Wall) -> None:
    under = re.search(r"<h1>[^<]+</h1>\s*<p[^>]*>([^<]+)</p>", _page(wall))
    assert under
    assert under[1].endswith(", Mrs-Okafor, Physics")


def test_a_warming_has_as_many_decimals_as_its_readings(wall: Wall) -> None:
    run = replace(a_run(7), start_temperature_C=19.5, end_temperature_C=21.5)
    send(wall.group, [run])
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", _page(wall).split("Readings as typed", 1)[1], re.DOTALL)
    warmings = {re.sub(r"<[^>]+>", " ", row).split()[-4] for row in rows[1:] if " ± " in row}
    assert "2.0" in warmings


def test_the_figures_of_the_page_are_of_its_revision(wall: Wall) -> None:
    figures = re.findall(r'src="(/board/[^"]+report/[^"]+\.svg[^"]*)"', _page(wall))
    assert len(figures) == 2 * 5, "for the screen and for paper"
    for address in figures:
        assert wall.teacher.get(address).mimetype == "image/svg+xml"
    assert wall.teacher.get(re.sub("room=[a-z-]+", "room=attic", figures[0])).status_code == 404
    send(wall.group, [a_run(8)])
    assert {wall.teacher.get(address).status_code for address in figures} == {409}


def test_the_pdf_says_the_same_and_carries_the_five_figures(wall: Wall) -> None:
    _with_a_decision(wall)
    answer = wall.teacher.get(f"{wall.address}/report.pdf")
    assert answer.mimetype == "application/pdf"
    assert "2031-03-06-period-4.pdf" in answer.headers["Content-Disposition"]
    pdf = PdfReader(io.BytesIO(answer.data))
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pdf.pages))
    assert sum(len(page.images) for page in pdf.pages) == 5
    finding = re.search(r"<strong>(The class value is [^<]+)</strong>", _page(wall))
    assert finding
    assert finding[1] in text
    assert "counted <every> knock & turn" in text
    assert ACCEPTED in text


def test_numbers_follow_the_readers_language_and_typed_readings_do_not(wall: Wall) -> None:
    page = _page(wall, "de")
    assert ACCEPTED.replace(".", ",") in page
    typed = (
        class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher).runs[0].entry
    )
    assert f"{typed.end_temperature.raw} °C" in page


def test_a_class_that_started_below_its_room_is_told_what_its_tubes_may_have_done(wall: Wall) -> None:
    assert "What could still be wrong" not in _page(wall)
    set_room_temperature(
        wall.group.database,
        actor=wall.group.teacher,
        practical_id=wall.group.practical_id,
        room=RoomTemperature("22", Decimal(22)),
        now=datetime.now(UTC),
    )
    page = _page(wall)
    assert "What could still be wrong" in page
    assert "Chill each tube with the shot in it" in page
    text = "".join(
        sheet.extract_text()
        for sheet in PdfReader(io.BytesIO(wall.teacher.get(f"{wall.address}/report.pdf").data)).pages
    )
    assert "What could still be wrong" in text


def test_a_practical_without_runs_has_a_report_that_says_so(wall: Wall) -> None:
    from app.practicals.lesson.plan import copy_practical

    own = wall.group.practical
    empty = copy_practical(
        wall.group.database,
        actor=wall.group.teacher,
        practical_id=own.practical_id,
        title="Empty",
        held_on=own.plan.held_on,
        now=own.created_at,
    )
    assert b"No bench has sent a run yet." in wall.teacher.get(f"/board/{empty.practical_id}/report").data
    assert wall.teacher.get(f"/board/{empty.practical_id}/report.pdf").mimetype == "application/pdf"


def test_a_run_whose_interval_has_no_upper_end_deserves_a_second_look(wall: Wall) -> None:
    assert "no upper end" not in _page(wall)
    send(wall.group, [a_run(7, warming=0.05, step=0.05)])
    assert "too small for this thermometer: it could be zero, so there is no upper end" in _page(wall)


def test_the_report_is_printed_on_the_paper_asked_for_in_the_reader_s_direction(
    wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[tuple[object, ...]] = []

    def recorded(_report: object, *, language: str, right_to_left: bool, paper: str, **_: object) -> bytes:
        made.append((paper, language, right_to_left))
        return b"%PDF"

    monkeypatch.setattr("app.exports.papers.report.report_pdf", recorded)
    for paper, language in (("", "en"), ("?paper=Letter", "ar"), ("?paper=A3", "de")):
        answer = wall.teacher.get(f"{wall.address}/report.pdf{paper}", headers={"Accept-Language": language})
        assert (answer.status_code, answer.mimetype) == (200, "application/pdf")
    assert made == [("A4", "en", False), ("Letter", "ar", True), ("A4", "de", False)]
