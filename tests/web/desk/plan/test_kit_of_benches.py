"""The pieces of kit that a plan gives its benches: picked, kept, shown to phones, in the table of runs."""

from __future__ import annotations

import csv
import html
import io
from dataclasses import replace
from decimal import Decimal
from html.parser import HTMLParser

import pytest
from flask import Flask

from app.practicals.board.snapshot import class_snapshot
from app.practicals.kit.changes import retire_piece
from app.practicals.kit.pieces import Piece
from app.practicals.lesson.details import Plan
from app.practicals.lesson.plan import change_plan, practical_details
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.sending import enter_run
from app.records.choices import Role
from tests.practicals.a_class import NOW, AClass, a_teacher, an_entry, new_key
from tests.practicals.a_kit import a_kit, bench_kit
from tests.run_tables import read_run_table
from tests.web.desk.conftest import Reader
from tests.web.phone.phone import Phone


@pytest.fixture
def keeper(teacher: TeacherIdentity, planned: AClass) -> TeacherIdentity:
    return a_teacher(planned.database, "ms-lund", role=Role.TECHNICIAN)


@pytest.fixture
def kit(planned: AClass, keeper: TeacherIdentity) -> dict[str, Piece]:
    return a_kit(planned.database, keeper)


def plan_of(a_class: AClass) -> Plan:
    return practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id).plan


class Fields(HTMLParser):
    """What a page's forms would send as they stand."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.select = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "select":
            self.select = found["name"]
        elif tag == "option" and ("selected" in found or self.select not in self.sent):
            self.sent[self.select] = found["value"]
        elif tag == "input" and (found.get("type") not in ("radio", "checkbox") or "checked" in found):
            self.sent[found["name"]] = found.get("value", "")


def form_on(page: str) -> dict[str, str]:
    """The fields of the plan's page, without the token."""
    return {name: value for name, value in Fields(page).sent.items() if name != "csrf_token"}


def picked(desk: Reader, a_class: AClass, kit: dict[str, Piece], **labels: str) -> dict[str, str]:
    """The plan's form with these pieces: `tube_1="T3"`."""
    form = form_on(desk.get(f"/desk/{a_class.practical_id}/plan").get_data(as_text=True))
    return form | {f"piece_{name}": str(kit[label].piece_id) for name, label in labels.items()}


def test_pieces_are_picked_on_the_plan_and_stand_there_afterwards(
    desk: Reader, planned: AClass, kit: dict[str, Piece]
) -> None:
    address = f"/desk/{planned.practical_id}/plan"
    form = picked(desk, planned, kit, tube_1="T3", thermometer_1="1", balance_2="B1", lot_2="Pb 1")
    answer = desk.post(address, **form)
    assert answer.status_code == 302, html.unescape(answer.get_data(as_text=True))
    plan = plan_of(planned)
    assert [(one.number, [piece.label for piece in one.pieces.values()]) for one in plan.kits] == [
        (1, ["T3", "1"]),
        (2, ["B1", "Pb 1"]),
    ]
    assert (plan.for_bench(1).tube_length_m, plan.for_bench(1).ice_point_C) == (
        Decimal("0.995"),
        Decimal("0.3"),
    )
    assert "2 benches have their pieces" in desk.text(address)
    assert form_on(desk.get(address).get_data(as_text=True))["piece_tube_1"] == str(kit["T3"].piece_id)
    assert "Kit for each bench" in desk.text(f"/desk/{planned.practical_id}/history")


def test_free_pieces_are_filled_in_and_stored_by_the_next_press_alone(
    desk: Reader, planned: AClass, kit: dict[str, Piece], keeper: TeacherIdentity
) -> None:
    retire_piece(planned.database, actor=keeper, piece_id=kit["T2"].piece_id, retired=True, now=NOW)
    address = f"/desk/{planned.practical_id}/plan"
    typed = picked(desk, planned, kit, tube_2="T1") | {"inversions": "77"}
    answer = desk.post(address, **typed, fill="yes")
    page = answer.get_data(as_text=True)
    assert "Nothing is stored yet" in page
    assert plan_of(planned).kits == ()
    form = form_on(page)
    assert form["inversions"] == "77", "what was typed is still there"
    labels = {str(piece.piece_id): label for label, piece in kit.items()}
    tubes = [labels.get(form[f"piece_tube_{number}"]) for number in range(1, 13)]
    assert tubes == ["T3", "T1", "T4", "T5", "T6", "T7", "T8", *[None] * 5]
    assert {labels.get(form[f"piece_lot_{number}"]) for number in range(1, 13)} == {"Pb 1"}, "lead alone"
    assert [labels[form[f"piece_balance_{number}"]] for number in (1, 2, 3)] == ["B1", "B2", "B1"]
    assert desk.post(address, **form).status_code == 302
    assert len(plan_of(planned).kits) == 12


def test_a_tube_in_which_nothing_falls_is_said_and_the_picks_are_kept(
    desk: Reader, planned: AClass, kit: dict[str, Piece]
) -> None:
    address = f"/desk/{planned.practical_id}/plan"
    form = picked(desk, planned, kit, tube_1="T3") | {"tube_length": "3 m", "end_allowance": "2 m"}
    answer = desk.post(address, **form)
    page = html.unescape(answer.get_data(as_text=True))
    assert answer.status_code == 422
    assert "In tube T3 nothing would fall at bench 1" in page
    assert form_on(page)["piece_tube_1"] == str(kit["T3"].piece_id)
    assert plan_of(planned).kits == ()


def test_a_plan_without_a_kit_has_no_picks(desk: Reader, planned: AClass) -> None:
    assert "Kit for each bench" not in desk.text(f"/desk/{planned.practical_id}/plan")


def test_phone_and_table_name_the_pieces_and_the_table_reads_back(
    application: Flask, desk: Reader, a_class: AClass, kit: dict[str, Piece]
) -> None:
    kits = (bench_kit(kit, 3, "T3", "7", "B1", "Pb 1"),)
    change_plan(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        plan=replace(plan_of(a_class), kits=kits),
        now=NOW,
    )
    phone, other = Phone(application.test_client()), Phone(application.test_client())
    phone.join(a_class.practical.join_code or "", 3)
    phone.open("/bench/run/weigh")
    assert "Yours: tube T3, thermometer 7, balance B1, shot Pb 1" in phone.text
    other.join(a_class.practical.join_code or "", 4)
    other.open("/bench/run/weigh")
    assert "Yours:" not in other.text
    for number in (3, 5):
        enter_run(
            a_class.database,
            actor=a_class.teacher,
            practical_id=a_class.practical_id,
            bench_number=number,
            key=new_key(),
            entry=an_entry(),
            now=NOW,
        )
    data = desk.get(f"/desk/{a_class.practical_id}/runs.csv").data
    rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))
    named = [[row[name] for name in ("tube", "thermometer", "balance", "shot_lot")] for row in rows]
    assert named == [["T3", "7", "B1", "Pb 1"], [""] * 4]
    after = list(rows[0]).index("came_too_fast") + 1
    assert list(rows[0])[after : after + 4] == ["tube", "thermometer", "balance", "shot_lot"]
    again = read_run_table(data.decode("utf-8-sig"))
    expected = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).readings
    assert [(one.bench, one.shot_mass_kg, one.planned_tube_length_m) for one in again] == [
        (one.bench, one.shot_mass_kg, one.planned_tube_length_m) for one in expected
    ]
