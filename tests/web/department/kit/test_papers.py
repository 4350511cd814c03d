"""Labels, the set-out sheet, and the page of what the pieces do."""

from __future__ import annotations

import html
import io
import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from flask import Flask
from pypdf import PdfReader

from app.analysis.pieces import PieceShift, Verdict
from app.exports.papers.kit_labels import KitLabel, labels_pdf
from app.practicals.kit.pieces import Figures, Piece
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import plan_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PieceKind
from app.records.engine import Database
from app.web.department.kit.shifts import sentences
from app.web.kit_words import KINDS, by_kind, figures_in_words
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.a_kit import DAY, a_kit, bench_kit, held_with_kit
from tests.web.desk.conftest import Reader, application  # noqa: F401 - the fixture


@pytest.fixture
def kit(sqlite_database: Database, the_technician: TeacherIdentity) -> dict[str, Piece]:
    return a_kit(sqlite_database, the_technician)


def test_labels_are_printed_from_the_first_free_place_on(
    technicians_desk: Reader, kit: dict[str, Piece]
) -> None:
    wanted = "&".join(f"piece={kit[label].piece_id}" for label in ("T3", "7", "Pb 1"))
    answer = technicians_desk.get(f"/department/kit/labels.pdf?first=23&{wanted}")
    assert answer.mimetype == "application/pdf"
    assert answer.headers["Content-Disposition"].startswith("inline"), "to be looked at and printed"
    pages = PdfReader(io.BytesIO(answer.data)).pages
    assert [round(float(pages[0].mediabox.width)), len(pages)] == [595, 2], "A4; two labels fit on the first"
    first, second = (page.extract_text() for page in pages)
    for words in ("T3", "99.5 cm long", "bore 50 mm", "Thermometer", "7"):
        assert words in first, words
    for words in ("Lot of shot", "Pb 1", "4 kg", "Lead: wash hands"):
        assert words in second, words


def test_a_label_leads_to_its_piece_and_any_of_the_24_places_may_be_the_first(
    technicians_desk: Reader, kit: dict[str, Piece], monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[tuple[int, bool, list[str | None]]] = []

    def recorded(labels: list[KitLabel], *, first: int, right_to_left: bool, **_: object) -> bytes:
        made.append((first, right_to_left, [label.link for label in labels]))
        return b"%PDF"

    monkeypatch.setattr("app.exports.papers.kit_labels.labels_pdf", recorded)
    piece = kit["T3"].piece_id
    for first, language in ((1, "en"), (24, "ar")):
        address = f"/department/kit/labels.pdf?first={first}&piece={piece}"
        assert technicians_desk.get(address, **{"Accept-Language": language}).status_code == 200
    link = f"http://phones.school.example:8480/department/kit/{piece}"
    assert made == [(1, False, [link]), (24, True, [link])]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("first=1", "Choose at least one piece"),
        ("piece=1&first=0", "a number from 1 to 24"),
        ("piece=1&first=x", "a number from 1 to 24"),
        ("piece=1&first=25", "a number from 1 to 24"),
    ],
)
def test_a_sheet_of_labels_that_cannot_be_is_said(
    technicians_desk: Reader, kit: dict[str, Piece], asked: str, said: str
) -> None:
    answer = technicians_desk.get(f"/department/kit/labels.pdf?{asked}")
    assert answer.status_code == 422
    assert said in answer.get_data(as_text=True)


def test_the_set_out_sheet_has_the_day_with_its_pieces_masses_checks_and_cautions(
    technicians_desk: Reader, teacher: TeacherIdentity, sqlite_database: Database, kit: dict[str, Piece]
) -> None:
    lines = (BenchPlanLine(1, Decimal("2.5")), BenchPlanLine(2, Decimal("1.75")))
    plan = a_plan(
        title="9b",
        planned_benches=3,
        bench_plans=lines,
        kits=(
            bench_kit(kit, 1, "T3", "1", "Pb 1"),
            bench_kit(kit, 2, "T4", "2", "Pb 1"),
            bench_kit(kit, 3, "T4"),
        ),
    )
    made = plan_practical(sqlite_database, actor=teacher, plan=plan, now=NOW)
    steel = replace(plan, title="10a", kits=(bench_kit(kit, 1, "Fe 1"),))
    plan_practical(sqlite_database, actor=teacher, plan=steel, now=NOW)
    tomorrow = replace(plan, title="Next day", held_on=DAY + timedelta(days=1))
    plan_practical(sqlite_database, actor=teacher, plan=tomorrow, now=NOW)
    page = technicians_desk.text(f"/department/kit/set-out?day={DAY.isoformat()}")
    assert [title in page for title in ("9b", "10a", "Next day")] == [True, True, False]
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", page.split("9b</a>")[1], re.DOTALL)
    cells = [re.findall(r"<td[^>]*>([^<]*)</td>", row)[:5] for row in rows[:3]]
    assert cells == [
        ["T3", "1", "–", "Pb 1", "2500"],
        ["T4", "2", "–", "Pb 1", "1750"],
        ["T4", "–", "–", "–", "–"],
    ]
    assert "<b>4250\N{NO-BREAK SPACE}g</b> for 2 benches. <b>The lot holds 4 kg.</b>" in page
    assert "1 bench has no planned mass: ask the teacher." in page
    assert "tube T4 stands at several benches: 2, 3." in page
    assert "Lot Fe 1 is Steel, the lesson is planned with Lead." in page
    due = page.split('id="due"')[1].split("</div>")[0]
    assert ">2</a> (never checked)" in due
    assert ">1</a>" not in due, "its check is not due yet"
    places = ("Local rules", "Lead is poisonous", "Put away", "Look at each tube", "Sweep the floor for shot")
    order = [page.index(words) for words in (*places, "Weigh the lead", "Wipe benches and trays")]
    assert order == sorted(order)
    alone = technicians_desk.text(f"/department/kit/set-out?practical={made.practical_id}")
    assert "9b" in alone
    assert "10a" not in alone


def test_a_lesson_of_another_department_is_not_set_out(
    nobody: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    made = plan_practical(sqlite_database, actor=teacher, plan=a_plan(title="9b"), now=NOW)
    nobody.sign_in(a_teacher(sqlite_database, "dr-roy", department="Chemistry", is_head=True).login)
    assert nobody.get(f"/department/kit/set-out?practical={made.practical_id}").status_code == 404
    assert "9b" not in nobody.text(f"/department/kit/set-out?day={DAY.isoformat()}")


def test_a_tube_that_reads_high_is_found_over_practicals_and_few_are_said_to_be_too_few(
    technicians_desk: Reader, teacher: TeacherIdentity, sqlite_database: Database, kit: dict[str, Piece]
) -> None:
    assert "No run names its pieces yet." in technicians_desk.text("/department/kit/shifts")
    for seed in range(2):
        held_with_kit(sqlite_database, teacher, kit, seed=seed, percent_of={"T3": 9.0})
    page = technicians_desk.text("/department/kit/shifts")
    assert "Practicals whose runs name their pieces: 2. From 3 on" in page
    for seed in range(2, 7):
        held_with_kit(sqlite_database, teacher, kit, seed=seed, percent_of={"T3": 9.0})
    page = technicians_desk.text("/department/kit/shifts")
    assert "From 126 runs of 7 practicals" in page
    assert page.count("Surely high") == 1
    row = page.split(">T3</a>")[1].split("</tr>")[0]
    words = html.unescape(re.sub(r"<[^>]*>", " ", row))
    assert "Surely high, by about" in words
    assert "cm shorter than noted" in words
    listed = technicians_desk.text(f"/department/?piece={kit['T3'].piece_id}")
    assert f'value="{kit["T3"].piece_id}" selected' in listed
    assert listed.count("</tr>") - 1 == int(row.split(" practicals")[0].rsplit(">", 1)[1])
    assert 'class="notice">At least 3 pieces of a kind are needed' in page, "one balance alone was used"


@pytest.mark.parametrize(
    ("kind", "percent", "said"),
    [
        (PieceKind.TUBE, 4.0, "each fall were 3.8 cm shorter than noted, or this tube took more heat than"),
        (PieceKind.TUBE, -4.0, "each fall were 3.8 cm longer than noted, or this tube took less heat than"),
        (PieceKind.THERMOMETER, 4.0, "it showed 0.080 K too little of a warming of 2.0 K"),
        (PieceKind.THERMOMETER, -4.0, "it showed 0.080 K too much of a warming of 2.0 K"),
        (PieceKind.LOT, 4.0, "a kilogram of this lot took 4.0 % more heat than one of the others"),
        (PieceKind.LOT, -4.0, "a kilogram of this lot took 4.0 % less heat than one of the others"),
        (PieceKind.BALANCE, -4.0, "look at what stood beside this balance"),
    ],
)
@pytest.mark.parametrize("verdict", [Verdict.SURELY, Verdict.PERHAPS])
def test_a_piece_reads_high_or_low_surely_or_perhaps(
    kind: PieceKind, percent: float, said: str, verdict: Verdict
) -> None:
    """4 % of a fall of 0.95 m are 3.8 cm, of a warming of 2 K 0.08 K; c* is high where the warming is low."""
    way = "high" if percent > 0 else "low"
    first, second = sentences(kind, PieceShift(1, verdict, 5, 60, 0.95, 2.0, percent))
    assert str(first).startswith(f"{verdict.value.capitalize()} {way}, by about 4.0 %")
    assert said in str(second)
    (nothing,) = sentences(kind, PieceShift(1, Verdict.NOTHING, 5, 60, 0.95, 2.0, percent))
    assert str(nothing) == "Nothing to see."
    (few,) = sentences(kind, PieceShift(1, Verdict.TOO_FEW, 1, 18, 0.95, 2.0))
    assert str(few) == "Used in one practical only: too few to tell."


def test_a_number_that_no_practical_can_have_leaves_the_set_out_sheet_of_the_day(
    technicians_desk: Reader,
) -> None:
    assert "No lesson is planned" in technicians_desk.text(f"/department/kit/set-out?practical={10**25}")


@pytest.mark.parametrize("label", ["\u200b", " \u200d\u2060 "])
def test_a_label_that_nobody_can_see_is_no_label(technicians_desk: Reader, label: str) -> None:
    answer = technicians_desk.post("/department/kit/new/tube", label=label, inside_length="1 m")
    assert answer.status_code == 422
    assert "Give the piece a label" in answer.get_data(as_text=True)


def test_a_label_without_width_does_not_stop_the_sheet() -> None:
    accent = KitLabel(KINDS[PieceKind.TUBE], "\u0301", (), None)
    assert labels_pdf([accent], say=str).startswith(b"%PDF")


def test_every_figure_of_a_piece_stands_on_its_label(application: Flask) -> None:  # noqa: F811 - the fixture
    known = Figures(
        inside_length_m=Decimal("1.02"),
        bore_m=Decimal("0.05"),
        caps_m=Decimal("0.021"),
        step_K=Decimal("0.1"),
        step_kg=Decimal("0.001"),
        material="lead",
        lot_mass_kg=Decimal("2.5"),
    )
    with application.test_request_context():
        said = [str(one) for one in figures_in_words(Piece(1, PieceKind.TUBE, "T1", known, None))]
        assert figures_in_words(Piece(1, PieceKind.TUBE, "T1", Figures(), None)) == []
    assert said == [
        "102 cm long",
        "bore 50 mm",
        "caps take 2.1 cm",
        "step 0.1 °C",
        "step 1 g",
        "Lead",
        "2.5 kg",
    ]


def test_each_kind_has_its_heading_and_its_own_pieces() -> None:
    made = [
        Piece(number, kind, f"p{number}", Figures(), None)
        for number, kind in enumerate((PieceKind.LOT, PieceKind.TUBE, PieceKind.LOT))
    ]
    told = [(str(heading), [piece.label for piece in own]) for _, heading, own in by_kind(made)]
    assert told == [
        ("Tubes", ["p1"]), ("Thermometers", []), ("Balances", []), ("Lots of shot", ["p0", "p2"])
    ]  # fmt: skip
