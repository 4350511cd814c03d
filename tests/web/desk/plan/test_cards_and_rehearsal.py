"""Bench cards as a PDF, and the rehearsal of a plan."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

from flask import Flask
from pypdf import PdfReader

from app import create_app
from app.practicals.board.snapshot import class_snapshot
from app.records.engine import Database
from app.settings import Settings
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def test_cards_come_as_a_pdf_on_either_paper(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/cards.pdf"
    a4, letter = (595, 842), (612, 792)  # points: 210 mm × 297 mm, 8.5 in × 11 in
    for query, pages, size in (
        ("", 12, a4),
        ("?paper=Letter&per_page=2", 6, letter),
        ("?paper=napkin&per_page=9", 12, a4),
    ):
        answer = desk.get(address + query)
        assert answer.mimetype == "application/pdf"
        assert answer.data.startswith(b"%PDF")
        found = PdfReader(io.BytesIO(answer.data)).pages
        assert len(found) == pages, "a card for each of twelve benches"
        assert (round(found[0].mediabox.width), round(found[0].mediabox.height)) == size
    for per_page, rows in (("1", "1234"), ("2", "123")):
        page = desk.text(f"/desk/{a_class.practical_id}/cards?per_page={per_page}")
        assert re.findall(r"<tr><td>(\d+)</td>", page) == [*rows] * 12, "as many to write in as in the PDF"


def test_without_an_address_for_phones_the_cards_say_how_to_set_one(
    sqlite_database: Database, tmp_path: Path, a_class: AClass
) -> None:
    environ = {"PLUMBFALL_DATA": str(tmp_path), "PLUMBFALL_HOST": "127.0.0.1"}
    environ["DATABASE_URL"] = str(sqlite_database.url)
    application: Flask = create_app(Settings.from_environment(environ))
    desk = Reader(application.test_client()).let_in(a_class.teacher.login)
    for page in ("cards", ""):
        assert "PLUMBFALL_BASE_ADDRESS" in desk.text(f"/desk/{a_class.practical_id}/{page}")
    assert desk.get(f"/desk/{a_class.practical_id}/card/1.svg").status_code == 404
    application.extensions["plumbfall_database"].close()


def test_a_rehearsal_is_marked_and_gone_with_one_action(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}"
    desk.post(f"{address}/rehearse")
    page = desk.text(f"{address}/")
    assert "Simulated benches are in. Try the board and the decisions, then remove them." in page
    assert "Rehearsal: simulated benches" in page
    assert "12 of 12" in page
    table = desk.get(f"{address}/runs.csv").get_data(as_text=True)
    assert next(csv.DictReader(io.StringIO(table)))["simulated"] == "yes"
    desk.post(f"{address}/rehearse/end")
    page = desk.text(f"{address}/")
    assert "Everything that was simulated is gone." in page
    assert "0 of 12" in page
    assert class_snapshot(planned.database, planned.practical_id, actor=planned.teacher).runs == ()


def test_nothing_is_rehearsed_in_a_real_class(desk: Reader, class_with_a_slip: AClass) -> None:
    before = class_snapshot(
        class_with_a_slip.database, class_with_a_slip.practical_id, actor=class_with_a_slip.teacher
    ).runs
    desk.post(f"/desk/{class_with_a_slip.practical_id}/rehearse")
    assert (
        class_snapshot(
            class_with_a_slip.database, class_with_a_slip.practical_id, actor=class_with_a_slip.teacher
        ).runs
        == before
    )
