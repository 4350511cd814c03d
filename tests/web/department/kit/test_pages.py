"""The kit's pages: pieces added, changed, checked and retired, by whom, and what stands in the records."""

from __future__ import annotations

import html
import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from sqlalchemy import select

from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PieceKind
from app.records.engine import Database
from app.records.models import KitCheck, KitPiece, LogEntry
from app.web.department.kit.forms import fresh_check
from tests.practicals.a_class import a_teacher
from tests.web.desk.conftest import Reader

TUBE = {"label": "T3", "inside_length": "98,5", "bore": "42", "caps": "2 cm"}


def add(reader: Reader, kind: str, **form: str) -> int:
    """The number of a piece that was added."""
    answer = reader.post(f"/department/kit/new/{kind}", **form)
    assert answer.status_code == 303, answer.get_data(as_text=True)
    page = reader.text("/department/kit")
    found = re.search(rf'/department/kit/(\d+)">{form["label"]}</a>', page)
    assert found, page
    assert f"{form['label']} is in the kit." in page
    its_own = f"/department/kit/{found[1]}"
    assert answer.location == (its_own if kind == "thermometer" else "/department/kit"), "asks for a check"
    return int(found[1])


def pieces(database: Database) -> list[KitPiece]:
    with database.reading() as session:
        return list(session.scalars(select(KitPiece).order_by(KitPiece.id)))


def seen(reader: Reader, piece_id: int) -> str:
    found = re.search(r'name="seen" value="(\w+)"', reader.text(f"/department/kit/{piece_id}"))
    assert found
    return found[1]


def test_a_technician_adds_one_of_each_kind(technicians_desk: Reader, sqlite_database: Database) -> None:
    add(technicians_desk, "tube", **TUBE)
    add(technicians_desk, "thermometer", label="7", step="0.1")
    add(technicians_desk, "balance", label="B1", step="1 g")
    add(technicians_desk, "lot", label="Pb 2", material="lead", lot_mass="5 kg")
    tube, thermometer, balance, lot = pieces(sqlite_database)
    assert (tube.inside_length_m, tube.bore_m, tube.caps_m) == (
        Decimal("0.985"),
        Decimal("0.042"),
        Decimal("0.02"),
    )
    assert thermometer.step_K == Decimal("0.1")
    assert balance.step_kg == Decimal("0.001")
    assert (lot.material, lot.lot_mass_kg) == ("lead", 5)
    page = technicians_desk.text("/department/kit")
    assert "98.5 cm long · bore 42 mm · caps take 2 cm" in page
    assert "lead: wash hands" in page
    with sqlite_database.reading() as session:
        told = session.execute(select(LogEntry.kind).where(LogEntry.detail == "Pb 2")).scalars().all()
    assert told == ["piece added"]


def test_a_label_used_twice_is_said_and_nothing_typed_is_lost(
    technicians_desk: Reader, sqlite_database: Database
) -> None:
    add(technicians_desk, "tube", **TUBE)
    assert technicians_desk.get("/department/kit/new/balloon").status_code == 404
    answer = technicians_desk.post("/department/kit/new/thermometer", label=" t3 ", step="0.2")
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert "The label “T3” is taken in this department." in page
    assert 'value="0.2"' in page
    assert len(pieces(sqlite_database)) == 1
    other = add(technicians_desk, "tube", **{**TUBE, "label": "T4"})
    answer = technicians_desk.post(
        f"/department/kit/{other}",
        **{**TUBE, "label": "T3", "bore": "41", "seen": seen(technicians_desk, other)},
    )
    assert answer.status_code == 422
    assert "The label “T3” is taken" in answer.get_data(as_text=True)
    wide = {**TUBE, "bore": "wide", "seen": seen(technicians_desk, other)}
    assert technicians_desk.post(f"/department/kit/{other}", **wide).status_code == 422
    assert pieces(sqlite_database)[1].bore_m == Decimal("0.042")


@pytest.mark.parametrize(
    ("kind", "form", "said"),
    [
        ("tube", {**TUBE, "label": " "}, "Give the piece a label of up to 24 characters"),
        ("tube", {**TUBE, "label": "x" * 25}, "Give the piece a label of up to 24 characters"),
        ("tube", {**TUBE, "inside_length": "long"}, "is not a number"),
        ("tube", {**TUBE, "bore": "2 m"}, "A bore lies between 5 mm and 50 cm."),
        (
            "tube",
            {**TUBE, "bore": "40 cm", "inside_length": "40"},
            "The bore is as wide as the tube is long.",
        ),
        ("tube", {**TUBE, "caps": "98.5"}, "The caps take the whole tube"),
        ("thermometer", {"label": "7", "step": "8"}, "A thermometer step lies between 0.001 and 5 °C"),
        ("balance", {"label": "B", "step": "1 kg"}, "A balance's step lies between 0.001 g and 100 g"),
        ("lot", {"label": "L", "material": "gold", "lot_mass": "5"}, "Choose the metal from the list."),
        ("lot", {"label": "L", "material": "lead", "lot_mass": "5000"}, "Give all the shot there is"),
    ],
)
def test_what_no_piece_can_be_is_refused_beside_its_field(
    technicians_desk: Reader, sqlite_database: Database, kind: str, form: dict[str, str], said: str
) -> None:
    answer = technicians_desk.post(f"/department/kit/new/{kind}", **form)
    assert answer.status_code == 422
    assert said in html.unescape(answer.get_data(as_text=True))
    assert pieces(sqlite_database) == []


def test_a_check_is_added_and_the_latest_one_is_used(
    technicians_desk: Reader, sqlite_database: Database
) -> None:
    piece = add(technicians_desk, "thermometer", label="7", step="0.1")
    assert "1 thermometer is due for its check" in technicians_desk.text("/department/kit")
    today = datetime.now(UTC).date()
    due = today + timedelta(days=200)
    for day, ice in ((today, "0,3"), (today - timedelta(days=40), "32.9 °F"), (today, "-0.2")):
        answer = technicians_desk.post(
            f"/department/kit/{piece}/check",
            checked_on=day.isoformat(),
            ice_point=ice,
            due_on=due.isoformat(),
        )
        assert answer.status_code == 303, answer.get_data(as_text=True)
        told = "The check is noted. Lessons from now on take the latest reading."
        assert told in technicians_desk.text(answer.location)
    page = technicians_desk.text("/department/kit")
    assert "−0.2\N{NO-BREAK SPACE}°C" in page, "of one day, the one that was noted last"
    assert "due for its check" not in page
    page = technicians_desk.text(f"/department/kit/{piece}")
    assert "More than 2 K off" not in page
    history = page.split("<tbody>")[1].split("</tbody>")[0]
    assert [text in history for text in ("0,3 °C", "32.9 °F", "-0.2 °C", "Ms-Lund")] == [True] * 4
    with sqlite_database.reading() as session:
        values = session.scalars(select(KitCheck.ice_point_C).order_by(KitCheck.id)).all()
    assert values == [Decimal("0.3"), Decimal("0.5"), Decimal("-0.2")]
    technicians_desk.post(f"/department/kit/{piece}/check", checked_on=today.isoformat(), ice_point="2.1")
    assert "More than 2 K off" in technicians_desk.text(f"/department/kit/{piece}")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"ice_point": "12"}, "In melting ice a thermometer shows between −5 and 5 °C"),
        ({"checked_on": "2999-01-01"}, "The day of the check has not come yet."),
        ({"checked_on": "yesterday"}, "Give the day as year-month-day"),
        ({"due_on": "2001-01-01"}, "The next check comes after this one"),
        ({"ice_point": "", "due_on": ""}, "Type what the thermometer showed in melting ice, or when"),
    ],
)
def test_a_check_that_cannot_be_is_refused_and_kept_as_typed(
    technicians_desk: Reader, sqlite_database: Database, changes: dict[str, str], said: str
) -> None:
    piece = add(technicians_desk, "thermometer", label="7", step="0.1")
    today = datetime.now(UTC).date()
    form = {"checked_on": today.isoformat(), "ice_point": "0.1", "due_on": ""} | changes
    answer = technicians_desk.post(f"/department/kit/{piece}/check", **form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert said in page
    assert f'value="{form["checked_on"]}"' in page
    with sqlite_database.reading() as session:
        assert session.scalars(select(KitCheck)).all() == []


def test_a_piece_changed_by_somebody_else_is_shown_before_it_is_replaced(
    technicians_desk: Reader, heads_desk: Reader, sqlite_database: Database
) -> None:
    piece = add(technicians_desk, "tube", **TUBE)
    was = seen(technicians_desk, piece)
    answer = heads_desk.post(f"/department/kit/{piece}", **{**TUBE, "bore": "40", "seen": was})
    assert answer.status_code == 303
    assert "T3 is changed. Lessons that were held keep their numbers." in heads_desk.text(answer.location)
    answer = technicians_desk.post(f"/department/kit/{piece}", **{**TUBE, "caps": "3", "seen": was})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "Someone else changed this piece" in page
    assert "bore 40 mm" in page
    assert 'value="3"' in page
    (stored,) = pieces(sqlite_database)
    assert (stored.bore_m, stored.caps_m) == (Decimal("0.04"), Decimal("0.02"))


def test_an_unused_piece_is_deleted_and_a_retired_one_stays(
    technicians_desk: Reader, sqlite_database: Database
) -> None:
    first = add(technicians_desk, "tube", **TUBE)
    second = add(technicians_desk, "tube", **{**TUBE, "label": "T4"})
    for address, form, told in (
        (f"/department/kit/{first}/remove", {}, "T3 is deleted."),
        (f"/department/kit/{second}/retire", {"retired": "yes"}, "T4 is retired: no new plan offers it."),
    ):
        answer = technicians_desk.post(address, **form)
        assert answer.status_code == 303
        assert told in technicians_desk.text(answer.location)
    (left,) = pieces(sqlite_database)
    assert (left.label, left.retired_at is not None) == ("T4", True)
    assert "1 retired piece" in technicians_desk.text("/department/kit")
    technicians_desk.post(f"/department/kit/{second}/retire", retired="no")
    assert "T4 is in use again." in technicians_desk.text(f"/department/kit/{second}")
    assert pieces(sqlite_database)[0].retired_at is None


def test_a_teacher_reads_the_kit_and_changes_nothing(
    desk: Reader, technicians_desk: Reader, sqlite_database: Database
) -> None:
    piece = add(technicians_desk, "thermometer", label="7", step="0.1")
    assert "/department/kit/new/tube" not in desk.text("/department/kit")
    page = desk.text(f"/department/kit/{piece}")
    assert "Note the check" not in page
    assert "Retire it" not in page
    for address in ("new/tube", f"{piece}", f"{piece}/check", f"{piece}/retire", f"{piece}/remove"):
        assert desk.post(f"/department/kit/{address}", retired="yes", **TUBE).status_code == 403, address
    assert [one.kind for one in pieces(sqlite_database)] == [PieceKind.THERMOMETER]


def test_another_department_learns_of_no_piece(
    technicians_desk: Reader, nobody: Reader, sqlite_database: Database
) -> None:
    piece = add(technicians_desk, "tube", **TUBE)
    other: TeacherIdentity = a_teacher(sqlite_database, "dr-roy", department="Chemistry", is_head=True)
    nobody.sign_in(other.login)
    read = re.sub(r"<[^>]*>", " ", nobody.text("/department/kit"))  # a form's token may have any letters
    assert "T3" not in read
    assert nobody.get(f"/department/kit/{piece}").status_code == 404
    for address in ("", "/check", "/retire", "/remove"):
        form = {"retired": "yes", "checked_on": "2026-01-01", **TUBE}
        answer = nobody.post(f"/department/kit/{piece}{address}", **form)
        assert answer.status_code in (404, 422), address
    assert nobody.get(f"/department/kit/labels.pdf?piece={piece}").status_code == 422
    (stored,) = pieces(sqlite_database)
    assert stored.retired_at is None


def test_a_check_is_offered_for_today_with_the_next_one_in_a_year() -> None:
    offered = fresh_check(date(2030, 3, 6)).typed
    assert offered == {"checked_on": "2030-03-06", "ice_point": "", "due_on": "2031-03-06"}
