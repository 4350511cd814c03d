"""Benches whose runs the teacher types, because their phone does not work or they have none."""

from __future__ import annotations

import re

from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader


def test_a_bench_whose_runs_were_typed_at_the_desk_is_said_to_have_its_runs_in(
    desk: Reader, a_class: AClass
) -> None:
    a_class.join(3)
    for number in (3, 6):
        enter_run(
            a_class.database,
            actor=a_class.teacher,
            key=new_key(),
            entry=an_entry(),
            now=NOW,
            practical_id=a_class.practical_id,
            bench_number=number,
        )
    a_class.join(7)
    page = desk.text(f"/desk/{a_class.practical_id}/")
    said = {number: _slot(page, number) for number in (3, 6, 7)}
    assert "its runs are in" in said[3]
    assert said[6] == "its runs are in 1 run · no phone"
    assert "joined" in said[7]
    assert "its runs are in" not in said[7]
    assert "its runs are in" in desk.text(f"/desk/{a_class.practical_id}/bench/6")


def _slot(page: str, number: int) -> str:
    """The words of one bench in the list of benches."""
    (item,) = [one for one in page.split('<li class="bench-slot')[1:] if f'id="bench-{number}"' in one]
    words = re.sub(r"<[^>]+>", " ", item.split("</li>")[0].split('id="bench-')[1].split("</span>", 1)[1])
    return " ".join(words.split())
