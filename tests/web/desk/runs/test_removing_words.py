"""A bench wrote a name about its correction: the teacher removes the words, from every page and file."""

from __future__ import annotations

import io

import openpyxl
from flask import Flask

from app.practicals.runs.sending import correct_run, enter_run
from tests.practicals.a_class import NOW, AClass, a_teacher, an_entry, new_key
from tests.web.desk.conftest import Reader

WORDS = "Sasha read 31 for 21"


def _corrected(a_class: AClass) -> str:
    bench = a_class.join(3)
    run = enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    correct_run(
        a_class.database,
        actor=bench,
        run_id=run.run_id,
        key=new_key(),
        entry=an_entry(end="21.5"),
        reason=WORDS,
        now=NOW,
    )
    return f"/desk/{a_class.practical_id}/run/{run.run_id}/version/2/remove-words"


def _everywhere(desk: Reader, a_class: AClass) -> str:
    at = f"/desk/{a_class.practical_id}"
    book = openpyxl.load_workbook(io.BytesIO(desk.get(f"{at}/runs.xlsx").data))
    cells = [str(cell.value) for sheet in book for row in sheet for cell in row]
    board = f"/board/{a_class.practical_id}/report"
    return " ".join([desk.text(f"{at}/history"), desk.text(f"{at}/runs.csv"), desk.text(board), *cells])


def test_the_words_go_from_every_page_and_file_and_that_they_went_stays(
    desk: Reader, a_class: AClass
) -> None:
    address = _corrected(a_class)
    assert address in desk.text(f"/desk/{a_class.practical_id}/history")
    assert _everywhere(desk, a_class).count(WORDS) == 4
    assert desk.post(address).status_code == 302
    assert "The words are removed." in desk.text(f"/desk/{a_class.practical_id}/history")
    assert WORDS not in _everywhere(desk, a_class)
    history = desk.text(f"/desk/{a_class.practical_id}/history")
    assert "What was written here was removed." in history
    assert "Words of a bench removed" in history
    assert "Bench 3, run 1" in history
    assert address not in history
    assert "(words removed)" in desk.text(f"/board/{a_class.practical_id}/report")


def test_a_colleague_sees_the_history_without_the_button_and_is_refused(
    application: Flask, a_class: AClass
) -> None:
    address = _corrected(a_class)
    a_teacher(a_class.database, "mr-lind")
    colleague = Reader(application.test_client()).let_in("mr-lind")
    assert address not in colleague.text(f"/desk/{a_class.practical_id}/history")
    assert colleague.post(address).status_code == 403
    assert WORDS in colleague.text(f"/desk/{a_class.practical_id}/history")
