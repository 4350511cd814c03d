"""Every line of the report's tables, from a class whose numbers are known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from app.analysis.results import ClassResult, ClassValue, PooledEstimate, Spread
from app.exports.papers.report_parts import Abreast, Figure, Numbers, Paragraph, Report
from app.figures.studio import Drawing, Studio
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.lesson.details import Typed
from app.practicals.runs.history import HistoryLine
from app.records.engine import Database
from app.web.board.report_content import report_of
from app.web.board.take_home import take_home_of
from tests.figures.classes import a_class, worked_out
from tests.practicals.a_class import NOW
from tests.web.board.conftest import Wall, a_wall


@pytest.fixture(scope="module")
def of_all(
    sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Wall, Snapshot]]:
    """One class for all of these tests, which change nothing in its records."""
    path = tmp_path_factory.mktemp("report") / "plumbfall.db"
    path.write_bytes(sqlite_template.read_bytes())
    database = Database(f"sqlite:///{path}")
    with a_wall(database) as wall:
        yield wall, class_snapshot(database, wall.group.practical_id, actor=wall.group.teacher)
    database.close()


@pytest.fixture
def moment(of_all: tuple[Wall, Snapshot]) -> Iterator[Snapshot]:
    """The class as it stands, inside a request: words and days follow the reader."""
    wall, snapshot = of_all
    with wall.application.test_request_context():
        yield snapshot


def table_of(report: Report, title: str, place: int = 0) -> list[tuple[str, ...]]:
    (section,) = [section for section in report.sections if str(section.heading) == title]
    tables: list[Numbers] = []
    for block in section.blocks:
        tables += (
            block.tables if isinstance(block, Abreast) else [block] if isinstance(block, Numbers) else []
        )
    return [tuple(map(str, row)) for row in tables[place].rows]


def said_in(report: Report, title: str) -> list[tuple[bool, str]]:
    """A section's paragraphs, and whether each is in strong type."""
    (section,) = [section for section in report.sections if str(section.heading) == title]
    return [(one.strong, str(one.words)) for one in section.blocks if isinstance(one, Paragraph)]


def set_up(snapshot: Snapshot) -> list[str]:
    report = report_of(snapshot, ())
    return [value for half in (0, 1) for _, value in table_of(report, "Set-up", half)]


def beside_figure(report: Report, place: int) -> list[tuple[str, ...]]:
    figures = [block for one in report.sections for block in one.blocks if isinstance(block, Figure)]
    return [tuple(map(str, row)) for table in figures[place].beside for row in table.rows]


def with_plan(snapshot: Snapshot, **changes: object) -> Snapshot:
    plan = replace(snapshot.practical.plan, **changes)  # type: ignore[arg-type]
    return replace(snapshot, practical=replace(snapshot.practical, plan=plan))


def with_result(snapshot: Snapshot, **changes: object) -> Snapshot:
    result = snapshot.result
    assert isinstance(result, ClassResult)
    return replace(snapshot, known_result=replace(result, **changes))  # type: ignore[arg-type]


def test_the_set_up_is_in_the_units_of_the_bench(moment: Snapshot) -> None:
    given = with_plan(
        moment,
        bore_m=Decimal("0.0385"),
        room_temperature_C=Decimal("-1.5"),
        accepted_temperature_C=Decimal("25"),
        end_allowance_m=Decimal("0.055"),
    )
    assert set_up(given) == [
        *("Lead", "137.931", "invented for this test", "25", "9.80665", "standard gravity"),
        *("100", "5.5", "38.5", "50", "0.1", "−1.5", "8"),
    ]
    bare = with_plan(moment, depth_measured=True, material="unobtainium", accepted_temperature_C=None)
    values = set_up(bare)
    assert (values[0], values[3], values[8], values[11]) == ("unobtainium", "–", "–", "–")
    assert values[7] == "caps and settled shot, measured by each bench"


def test_the_class_result_is_rounded_as_its_interval_asks(moment: Snapshot) -> None:
    value = ClassValue(142.3456, (131.2, 153.5), "m", 24, 8, 11.739, 127.4, False, (3.0, 20.5))
    others = (
        PooledEstimate("plain-mean", 141.27, (130.0, 152.5), 7.6),
        PooledEstimate("a new one", 139.96, None, 0.0),
    )
    given = with_result(moment, class_value=value, estimates=others, spread=Spread(4.05, None, 7.26))
    report = report_of(given, ())
    assert table_of(report, "Class result") == [
        ("all counted runs", "142", "131 to 154", "24", "8", "12"),
    ]
    assert table_of(report, "Class result", 1) == [
        ("plain mean of the benches", "141", "130 to 153"),
        ("a new one", "140", "–"),
    ]
    assert [figure for _, figure in table_of(report, "Class result", 2)] == ["4.1", "–", "7.3"]
    assert table_of(report_of(with_result(given, class_value=None), ()), "Class result") == []


def test_a_run_is_printed_as_typed_with_its_marks_and_its_value(moment: Snapshot) -> None:
    first, second, *_ = moment.runs
    rows = table_of(report_of(moment, ()), "Readings as typed")
    entry, worked = first.entry, moment.result.runs[0]  # type: ignore[union-attr]
    assert rows[0][1:5] == ("1", "500 g", "100 cm", "8\N{NO-BREAK SPACE}cm")
    assert rows[0][5:8] == ("50", "20 °C", f"{entry.end_temperature.raw} °C")
    assert rows[0][8] == f"{worked.warming_K:.1f}"
    assert rows[0][9].startswith(f"{worked.apparent_heat_capacity_J_per_kg_K:.0f}"[:2])
    assert " ± " in rows[0][9]
    aside = replace(moment, runs=(replace(first, set_aside=True), *moment.runs[1:]))
    marks = [row[0] for row in table_of(report_of(aside, ()), "Readings as typed")]
    assert marks[0].startswith("1 ○")
    assert all(mark.startswith(str(run.bench_number)) for mark, run in zip(marks, moment.runs, strict=True))
    flagged = {run.readings.bench for run in moment.result.runs if run.flags}  # type: ignore[union-attr]
    assert {mark.split()[0] for mark in marks if "◎" in mark} == flagged
    assert second.bench_number == first.bench_number


@pytest.mark.parametrize(
    ("start", "end", "warming"),
    [("20", "23", "3"), ("20.0", "23", "3.0"), ("20.00", "23.1", "3.10"), ("20.000", "23.1", "3.10")],
)
def test_a_warming_is_printed_with_the_decimals_that_were_read_two_at_most(
    moment: Snapshot, start: str, end: str, warming: str
) -> None:
    first = moment.runs[0]
    typed = {
        **first.entry.of,
        "start_temperature": Typed(start, Decimal(start), "°C"),
        "end_temperature": Typed(end, Decimal(end), "°C"),
    }
    read = replace(moment, runs=(replace(first, entry=replace(first.entry, of=typed)), *moment.runs[1:]))
    worked = moment.result.runs[0]  # type: ignore[union-attr]
    changed = replace(worked, warming_K=float(Decimal(end) - Decimal(start)))
    read = with_result(read, runs=(changed, *moment.result.runs[1:]))  # type: ignore[union-attr]
    assert table_of(report_of(read, ()), "Readings as typed")[0][8] == warming


def test_decisions_and_corrections_are_told_with_who_and_why_and_nothing_else_is(moment: Snapshot) -> None:
    line = HistoryLine(NOW, "set aside", "Mrs-Okafor", 3, 2, reason="spilled")
    story = (
        HistoryLine(NOW, "run entered", "bench", 3, 2),
        line,
        replace(line, kind="counted", reason=""),
        replace(line, kind="run corrected", actor="bench", words_removed=True),
        replace(line, kind="board", actor="Mrs-Okafor"),
    )
    rows = table_of(report_of(moment, story), "Decisions and corrections")
    assert [row[1:] for row in rows] == [
        ("3", "2", "set aside", "–", "–", "spilled", "Mrs-Okafor"),
        ("3", "2", "counted again", "–", "–", "–", "Mrs-Okafor"),
        ("3", "2", "corrected", "–", "–", "(words removed)", "the bench"),
    ]


def test_a_rehearsal_and_a_made_up_class_say_so_under_the_title(moment: Snapshot) -> None:
    plain = report_of(moment, ())
    assert len(plain.under) == 1
    made_up = replace(moment, rehearsal=True, practical=replace(moment.practical, is_demo=True))
    assert [str(words) for words in report_of(made_up, ()).under[1:]] == [
        "Rehearsal: every run in this report was simulated.",
        "Made-up class: nothing in this report was measured.",
    ]


def test_each_figure_has_the_table_of_its_numbers(moment: Snapshot) -> None:
    result = replace(worked_out(a_class(6, masses=(0.5,))), settings=moment.result.settings)  # type: ignore[union-attr]
    report = report_of(replace(moment, known_result=result), ())
    assert [row[0] for row in beside_figure(report, 0)] == ["1", "2", "3", "4", "5", "6"]
    told_apart = replace(worked_out(a_class(6)), settings=moment.result.settings)  # type: ignore[union-attr]
    report = report_of(replace(moment, known_result=told_apart), ())
    assert beside_figure(report, 4)[0] == ("warmed the shot", "78 % ± 3 %")


ALLOWANCE = "One end allowance for 250 to 1000 g of shot: if it leaves out the shot, this is"
IN_FULL = "The benches took the same end allowance (8.0 cm) for 250 to 1000 g of shot."


def test_the_class_value_is_the_strong_sentence_of_the_result_on_the_report_and_at_home(
    moment: Snapshot,
) -> None:
    for report, wanted in (
        (
            report_of(moment, ()),
            (
                "The class value is 166.1 J/(kg·K)",
                "The class value counts every bench alike.",
                "Benches with 250 g read",
                "The class value is 20 % above the accepted 137.931",
                "With the heat sink taken out",
                "No room temperature is known",
                IN_FULL,
            ),
        ),
        (
            take_home_of(moment, 4),
            (
                "The class value is 166.1 J/(kg·K)",
                "The class value is 20 % above the accepted 137.931",
                "With the heat sink taken out",
                ALLOWANCE,
            ),
        ),
    ):
        said = said_in(report, "Class result")
        assert [words[: len(start)] for (_, words), start in zip(said, wanted, strict=True)] == [*wanted]
        assert [strong for strong, _ in said] == [True] + [False] * (len(wanted) - 1)


def test_the_budget_of_a_run_has_two_digits_of_each_input_and_of_its_share(moment: Snapshot) -> None:
    """161.1 J/(kg·K) from 2.8 K ± 0.1/√6 K (two steps of 0.1 K) and from a fall of 0.92 m ± 2 mm."""
    rows = table_of(report_of(moment, ()), "Where the uncertainty comes from", 1)
    assert rows[0] == ("thermometer step, both readings", "0.041", "K", "2.3")
    assert rows[2] == ("length of the fall", "0.0020", "m", "0.35")


def test_a_line_that_single_runs_pull_is_said_below_its_figure_alone(moment: Snapshot) -> None:
    """With one mass, and a robust slope a fifth away; 1 / 0.008 K per J/kg are 125 J/(kg·K)."""
    result = replace(worked_out(a_class(6, masses=(0.5,))), settings=moment.result.settings)  # type: ignore[union-attr]
    assert result.line is not None
    pulled = replace(result.line, slope_K_kg_per_J=0.01, robust_slope_K_kg_per_J=0.008)
    report = report_of(replace(moment, known_result=replace(result, line=pulled)), ())
    (figures,) = [section for section in report.sections if str(section.heading) == "Figures"]
    names = [one.name if isinstance(one, Figure) else str(one.words) for one in figures.blocks]  # type: ignore[union-attr]
    said = "Single runs pull it: a robust line gives 125."
    assert names == ["spread", "line", said, "accepted", "separated", "ledger"]


@pytest.mark.parametrize(("language", "right_to_left"), [("en", False), ("ar", True)])
def test_a_report_s_figures_are_drawn_in_its_reader_s_direction(
    of_all: tuple[Wall, Snapshot], monkeypatch: pytest.MonkeyPatch, language: str, right_to_left: bool
) -> None:
    wall, snapshot = of_all
    address = f"{wall.address}/report/spread.svg?revision={snapshot.revision}"
    asked: list[Drawing] = []

    def draw(_studio: Studio, wanted: Drawing, *_: object) -> bytes:
        asked.append(wanted)
        return b"<svg></svg>"

    monkeypatch.setattr(Studio, "draw", draw)
    wall.teacher.get(address, headers={"Accept-Language": language})
    (drawn,) = asked
    assert (drawn.language, drawn.right_to_left, drawn.complete) == (language, right_to_left, True)


def test_a_bench_takes_home_each_figure_with_the_class_s_numbers_beside_two_of_them(moment: Snapshot) -> None:
    report = take_home_of(moment, 4)
    assert [str(section.heading) for section in report.sections] == [
        "Readings as typed",
        "Class result",
        "Where your fall energy went",
        "Figures",
        "Set-up",
    ]
    (figures,) = [section.blocks for section in report.sections if str(section.heading) == "Figures"]
    shown = [(one.name, bool(one.beside), bool(one.said)) for one in figures if isinstance(one, Figure)]
    assert shown == [
        ("spread", False, False),
        ("line", False, True),
        ("accepted", True, True),
        ("separated", False, True),
        ("ledger", True, False),  # the bench has a ledger of its own
    ]
