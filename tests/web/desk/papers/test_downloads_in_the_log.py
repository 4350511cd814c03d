"""Whoever takes records away is named in the department's log, with the kind of file."""

from __future__ import annotations

from app.practicals.people.log import log_page
from app.records.choices import LogKind
from tests.practicals.a_class import AClass, a_teacher
from tests.web.desk.conftest import Reader


def test_each_file_of_a_practical_is_noted_by_its_kind(desk: Reader, a_class: AClass) -> None:
    practical = f"/desk/{a_class.practical_id}"
    files = {
        f"{practical}/runs.csv": "csv",
        f"{practical}/decisions.csv": "decisions",
        f"{practical}/runs.xlsx": "xlsx",
        f"{practical}/practical.json": "json",
        f"/board/{a_class.practical_id}/report.pdf": "report",
    }
    for address in files:
        assert desk.get(address).status_code == 200, address
    head = a_teacher(a_class.database, "head", is_head=True)
    lines = log_page(a_class.database, actor=head, kind=LogKind.DOWNLOADED).lines
    assert [line.detail for line in reversed(lines)] == list(files.values())
    assert {(line.actor, line.practical_id) for line in lines} == {
        (a_class.teacher.name, a_class.practical_id)
    }
