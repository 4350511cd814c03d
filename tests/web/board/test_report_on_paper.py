"""The report on paper: few pages, words that can be read, what benches got and used, what was changed."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from flask import Flask
from pypdf import PdfReader

from app.exports.papers.report import report_pdf
from app.physics.reading.readings import parse_temperature
from app.physics.run import QUANTITIES
from app.practicals.benches.ice_point import set_ice_point
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.history import HistoryLine, history
from app.practicals.runs.sending import correct_run
from app.records.engine import Database
from app.web.board.report_content import report_of
from app.web.languages import say
from tests.exports.papers.test_report import a_png
from tests.exports.papers.type_sizes import sizes_on
from tests.figures.classes import a_class, a_run
from tests.practicals.a_class import NOW, AClass, a_collecting_class, new_key
from tests.web.board.conftest import Wall
from tests.web.board.reported import send
from tests.web.board.test_report_content import table_of, with_plan

GIVEN = "What each bench was given and used"
CHANGED = "Decisions and corrections"
ARABIC = {"Accept-Language": "ar"}


def a_planned_class(database: Database, benches: int) -> AClass:
    """Three masses by plan, three runs a bench, one of them with a slip."""
    lines = tuple(
        BenchPlanLine(
            number, shot_mass_kg=Decimal("0.25") * 2 ** (number % 3), start_temperature_C=Decimal(19)
        )
        for number in range(1, benches + 1)
    )
    group = a_collecting_class(database, planned_benches=benches, bench_plans=lines)
    runs = a_class(benches, 3)
    send(group, [a_run(1, warming=7.9), *runs[1:]])
    return group


def on_paper(application: Flask, group: AClass, paper: str, language: str) -> PdfReader:
    """The class's report, with a small picture for every figure."""
    snapshot = class_snapshot(group.database, group.practical_id, actor=group.teacher)
    story = history(group.database, actor=group.teacher, practical_id=group.practical_id)
    with application.test_request_context(headers={"Accept-Language": language}):
        body = report_pdf(
            report_of(snapshot, story),
            say=say,
            picture=lambda name: a_png(),
            language=language,
            right_to_left=language == "ar",
            now=NOW,
            paper=paper,
        )
    return PdfReader(io.BytesIO(body))


def text_of(pdf: PdfReader) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pdf.pages))


EVERY_WAY = (("A4", "en"), ("Letter", "de"), ("Letter", "ar"))


@pytest.mark.parametrize(
    ("benches", "most", "printed"),
    [
        pytest.param(1, 5, EVERY_WAY[1:2], marks=pytest.mark.long),
        pytest.param(4, 5, EVERY_WAY[2:], marks=pytest.mark.long),
        (12, 5, EVERY_WAY),
        pytest.param(24, 7, EVERY_WAY[1:], marks=pytest.mark.long),
    ],
)
def test_a_report_takes_few_pages_and_nothing_on_them_is_under_eight_points(
    wall: Wall,
    sqlite_template: Path,
    tmp_path: Path,
    benches: int,
    most: int,
    printed: tuple[tuple[str, str], ...],
) -> None:
    """Of a class of twelve with three runs each at most five, in the longest of our languages too."""
    path = tmp_path / "class.db"
    path.write_bytes(sqlite_template.read_bytes())
    group = a_planned_class(Database(f"sqlite:///{path}"), benches)
    for paper, language in printed:
        pdf = on_paper(wall.application, group, paper, language)
        assert len(pdf.pages) <= most, f"{paper}, {language}"
        small = [words for page in pdf.pages for words, points in sizes_on(page).items() if points < 7.95]
        assert small == []
    group.database.close()


def test_a_correction_is_told_with_what_stood_there_before_who_changed_it_when_and_why(wall: Wall) -> None:
    group = wall.group
    run = class_snapshot(group.database, group.practical_id, actor=group.teacher).runs_of(3)[0]
    typed = {
        name: QUANTITIES[name].read(text) for name, text in (("inversions", "60"), ("shot_mass", "0,25 kg"))
    }
    correct_run(
        group.database,
        actor=group.teacher,
        run_id=run.run_id,
        key=new_key(),
        entry=RunEntry({**run.entry.of, **typed}),
        reason="counted <pairs> & weighed again",
        now=datetime.now(UTC),
    )
    before = {name: f"{one.raw} {one.unit}".strip() for name, one in run.entry.of.items()}
    text = text_of(PdfReader(io.BytesIO(wall.teacher.get(f"{wall.address}/report.pdf").data)))
    page = wall.teacher.get(f"{wall.address}/report").get_data(as_text=True).replace("\xa0", " ")
    for changed in (f"{before['inversions']} → 60", f"{before['shot_mass']} → 0,25 kg"):
        assert changed in text
        assert changed in page
    arabic = text_of(
        PdfReader(io.BytesIO(wall.teacher.get(f"{wall.address}/report.pdf", headers=ARABIC).data))
    )
    assert f"{before['inversions']} → 60" in arabic, "read from the left, as the arrow points"
    page_ar = wall.teacher.get(f"{wall.address}/report", headers=ARABIC).get_data(as_text=True)
    assert "/\u00a0\u2066°C\u2069" in page_ar
    assert "°C" not in re.sub("\u2066[^\u2069]*\u2069|<bdi>[\\d.,]+ °C</bdi>", "", page_ar), (
        "in no turning place"
    )
    assert "counted &lt;pairs&gt; &amp; weighed again" in page
    assert text.count("counted <pairs> & weighed again") == 2
    rows = _rows(wall)
    assert [row[3:5] for row in rows] == [("corrected", "mass"), ("corrected", "inversions")]
    assert {row[-1] for row in rows} == {"Mrs-Okafor"}


def _rows(wall: Wall) -> list[tuple[str, ...]]:
    snapshot = class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher)
    story = history(wall.group.database, actor=wall.group.teacher, practical_id=wall.group.practical_id)
    with wall.application.test_request_context():
        return table_of(report_of(snapshot, story), CHANGED)


def test_each_bench_has_what_the_plan_gave_it_beside_what_it_used(wall: Wall) -> None:
    group = wall.group
    ice = parse_temperature("0.4", "°C")
    set_ice_point(
        group.database,
        actor=group.teacher,
        practical_id=group.practical_id,
        bench_number=2,
        reading=ice,
        now=NOW,
    )
    snapshot = class_snapshot(group.database, group.practical_id, actor=group.teacher)
    lines = (
        BenchPlanLine(1, Decimal("0.52"), start_temperature_C=Decimal("18.5"), second_inversions=30),
        BenchPlanLine(3, thermometer_step_K=Decimal("0.5")),
    )
    first, second, third, *rest = snapshot.runs
    corrected = replace(
        first, entry=RunEntry({**first.entry.of, "inversions": QUANTITIES["inversions"].read("99")})
    )
    given = with_plan(replace(snapshot, runs=(corrected, second, third, *rest)), bench_plans=lines)
    with wall.application.test_request_context():
        rows = table_of(report_of(given, ()), GIVEN)
    assert [row[0] for row in rows] == [str(number) for number in range(1, 9)], (
        "planned benches without runs too"
    )
    used = second.entry.of["inversions"].raw
    assert rows[0] == ("1", "520", "500", "18.5", "20", "50 · 30", f"99 · {used}", "0.1", "–")
    assert rows[1][-2:] == ("0.1", "0.4")
    assert rows[2][-2:] == ("0.5", "–")
    assert rows[7] == ("8", "–", "–", "–", "–", "50", "–", "0.1", "–")


def test_a_tube_and_an_allowance_of_a_bench_s_own_stand_beside_what_it_used(wall: Wall) -> None:
    snapshot = class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher)
    line = BenchPlanLine(1, tube_length_m=Decimal("0.92"), end_allowance_m=Decimal("0.075"))
    used = snapshot.runs[0].entry
    with wall.application.test_request_context():
        rows = table_of(report_of(with_plan(snapshot, bench_plans=(line,)), ()), GIVEN)
    assert rows[0][2:6] == ("92", used.tube_length.raw, "7.5", used.end_allowance.raw)


def test_a_bench_with_many_runs_has_the_least_and_the_most_of_what_it_used(wall: Wall) -> None:
    send(wall.group, [a_run(7, number, inversions=40 + number) for number in range(1, 7)])
    snapshot: Snapshot = class_snapshot(
        wall.group.database, wall.group.practical_id, actor=wall.group.teacher
    )
    with wall.application.test_request_context():
        rows = table_of(report_of(snapshot, ()), GIVEN)
    assert rows[6][-1] == "41 to 46"
    assert len(rows[6]) == 5, "the plan gives no mass and no start: no column is empty"


def _told(wall: Wall, corrected: Mapping[str, str | None]) -> list[tuple[str, str, str]]:
    """Bench 1 measured caps and depth, and corrects its run: quantity, before and after, who."""
    of = wall.group.database, wall.group.practical_id
    snapshot = class_snapshot(*of, actor=wall.group.teacher)
    run = snapshot.runs[0]
    parts = {name: QUANTITIES[name].read(text) for name, text in (("caps", "2"), ("settled_depth", "6,5"))}
    before = RunEntry({**run.entry.of, "end_allowance": QUANTITIES["end_allowance"].read("8.5"), **parts})
    read = {name: QUANTITIES[name].read(text) for name, text in corrected.items() if text is not None}
    after = RunEntry({**{name: one for name, one in before.of.items() if name not in corrected}, **read})
    sent = HistoryLine(NOW, "run entered", "bench", 1, 1, run_id=run.run_id, entry=before)
    story = (sent, replace(sent, kind="run corrected", entry=after))
    with wall.application.test_request_context():
        rows = table_of(report_of(snapshot, story), CHANGED)
    return [(row[4], row[5].replace("\xa0", " "), row[7]) for row in rows]


def test_a_bench_s_own_correction_of_its_caps_is_told_by_part(wall: Wall) -> None:
    changed = {"caps": "3", "end_allowance": "9.5"}
    assert _told(wall, changed) == [("caps", "2 cm → 3 cm", "the bench")]


def test_an_allowance_in_place_of_the_parts_is_told_too(wall: Wall) -> None:
    changed = {"caps": None, "settled_depth": None, "end_allowance": "6"}
    assert [change for _, change, _ in _told(wall, changed)] == [
        "8.5 cm → 6 cm",
        "2 cm → –",
        "6,5 cm → –",
    ]
