"""Wall, report and JSON say what one end allowance for unlike masses may do to the number shown."""

from __future__ import annotations

import html
from dataclasses import replace

import pytest

from app.analysis.views.json import as_plain_data
from app.figures.beyond import beyond_the_interval
from app.practicals.board.snapshot import class_snapshot
from tests.web.board.conftest import Wall

SAID = "One end allowance for %s g of shot: if it leaves out the shot, this is"
IN_FULL = "The benches took the same end allowance (8.0 cm) for 250 to 1000 g of shot."


def _finding(wall: Wall) -> str:
    page = html.unescape(wall.teacher.get(f"{wall.address}/picture").get_data(as_text=True))
    return page.partition('id="wall-finding"')[2].partition("</p>")[0]


@pytest.mark.parametrize("step", ["spread", "line", "percent error", "separated", "ledger"])
def test_the_wall_says_it_beside_the_specific_heat_capacity_alone(wall: Wall, step: str) -> None:
    wall.go(step)
    assert (SAID % "250 to 1000" in _finding(wall)) is (step == "separated")


def test_report_and_json_say_it_in_full(wall: Wall) -> None:
    report = html.unescape(wall.teacher.get(f"{wall.address}/report").get_data(as_text=True))
    assert IN_FULL in report
    result = class_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher).result
    assert result is not None
    assert [one for one in as_plain_data(result)["warnings"] if one.startswith(IN_FULL)]
    assert beyond_the_interval("separated", replace(result, one_allowance=None)) is None
