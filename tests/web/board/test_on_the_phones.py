"""What the wall shows, the phones show: the same words and figure, no step earlier, and no longer."""

from __future__ import annotations

import csv
import gzip
import html
import io
import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from app.exports.run_table import COLUMNS
from app.figures.studio import Drawing, Studio
from app.practicals.benches.watch import renumber_bench
from app.practicals.board.reveal import BOARD_STEPS, show_bench_results, step_board, step_reached
from app.practicals.board.snapshot import board_snapshot
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.runs.decisions import set_aside
from app.records.choices import BoardStep
from app.records.engine import Database
from app.records.models import Bench
from app.web.board.picture import FIGURE_OF_STEP, STEP_OF_FIGURE
from tests.figures.classes import a_run
from tests.practicals.a_class import NOW, a_plan
from tests.web.board.conftest import ACCEPTED, Wall, a_wall
from tests.web.board.reported import send

SCRIPT = {"X-Plumbfall": "script"}
HEAVIEST_PICTURE_BYTES = 12_000
VALUES = [step for step in BOARD_STEPS if step != BoardStep.REPORTED]


def phone_of(wall: Wall, number: int) -> FlaskClient:
    """A phone at a bench that has joined already: it knows the bench's key."""
    with wall.group.database.reading() as session:
        keys = {bench.number: bench.bench_key for bench in session.query(Bench)}
    client = wall.application.test_client()
    code = wall.group.practical.join_code
    client.post(f"/j/{code}", data={"number": str(number), "key": keys.get(number, "")})
    client.post("/bench/safety")
    return client


def piece(phone: FlaskClient, tag: str = "") -> TestResponse:
    """What the page's script gets."""
    return phone.get("/bench/class", headers={**SCRIPT, **({"If-None-Match": tag} if tag else {})})


def said(answer: TestResponse) -> str:
    return html.unescape(answer.get_data(as_text=True))


def figure_of(answer: TestResponse) -> str:
    found = re.search(r'src="(/bench/class/[^"]+)"', said(answer))
    assert found
    return found[1]


def hide(wall: Wall, shown: bool = False) -> None:
    group = wall.group
    show_bench_results(
        group.database, actor=group.teacher, practical_id=group.practical_id, shown=shown, now=NOW
    )


@pytest.mark.parametrize("step", VALUES)
def test_the_phone_says_the_walls_words_and_draws_its_figure_with_the_benchs_own_mark(
    wall: Wall, step: BoardStep
) -> None:
    """Shown by default: nobody has pressed anything for the phones."""
    wall.go(step)
    on_wall = said(wall.teacher.get(f"{wall.address}/picture"))
    finding = re.search(r'id="wall-finding">(.*?)</p>', on_wall, re.DOTALL)
    assert finding
    phone = phone_of(wall, 4)
    answer = piece(phone)
    for sentence in re.findall(r"<span>(.*?)</span>", finding[1]):
        assert f"<span>{sentence}</span>" in said(answer)
    drawing = phone.get(figure_of(answer), headers={"Accept-Encoding": "gzip"})
    assert drawing.status_code == 200
    assert drawing.headers["Content-Encoding"] == "gzip"
    assert len(drawing.data) + len(gzip.compress(answer.data)) <= HEAVIEST_PICTURE_BYTES
    drawn = gzip.decompress(drawing.data).decode()
    assert ('<g id="own-bench">' in drawn) == (step != BoardStep.LEDGER)
    assert (">4</text></g></svg>" in drawn) == (step != BoardStep.LEDGER)


@pytest.mark.parametrize("step", BOARD_STEPS)
def test_no_answer_to_a_phone_holds_what_a_later_step_reveals(wall: Wall, step: BoardStep) -> None:
    wall.go(step)
    phone = phone_of(wall, 4)
    revision = board_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher).revision
    result = board_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher).result
    assert result is not None
    assert result.class_value is not None
    secret = {
        BoardStep.SPREAD: ["class value", "class's interval"],
        BoardStep.PERCENT_ERROR: [ACCEPTED, "the accepted value", "accepted-line"],
        BoardStep.SEPARATED: ["heat sink taken out", "shot alone", "separated-line"],
        BoardStep.LEDGER: ["Of your", "warmed the shot", "To take home"],
    }
    figures = [
        f"/bench/class/{revision}/{name}.svg?language=en&room={room}&size={size}"
        for name in STEP_OF_FIGURE
        for size, room in (("phone", "phone"), ("page", "page"))
    ]
    for address in (
        "/bench/class",
        "/bench/runs",
        "/bench/ours",
        "/bench/class.csv",
        "/bench/take-home",
        *figures,
    ):
        text = said(phone.get(address, headers=SCRIPT if address == "/bench/class" else {}))
        for revealed, words in secret.items():
            if not step_reached(step, revealed):
                assert not [one for one in words if one in text], address
    statuses = {
        name: phone.get(one).status_code for name, one in zip(STEP_OF_FIGURE, figures[::2], strict=True)
    }
    shown = [name for of, name in FIGURE_OF_STEP.items() if step_reached(step, of)]
    assert [name for name, status in statuses.items() if status == 200] == shown
    last = 200 if step == BoardStep.LEDGER else 409
    assert {
        phone.get(one).status_code for one in ("/bench/class.csv", "/bench/take-home", *figures[1::2])
    } == {last}


def test_what_is_hidden_at_the_desk_is_gone_from_the_phone_with_its_next_question(wall: Wall) -> None:
    wall.go("ledger")
    phone = phone_of(wall, 4)
    shown = piece(phone)
    figure, tag = figure_of(shown), shown.headers["ETag"]
    assert piece(phone, tag).status_code == 304
    hide(wall)
    hidden = piece(phone, tag)
    assert hidden.status_code == 200
    assert 'data-step=""' in said(hidden)
    assert not re.search(r"<(img|h2|p|table)", said(hidden))
    assert phone.get(figure).status_code == 409
    assert phone.get("/bench/class.csv").status_code == phone.get("/bench/take-home").status_code == 409
    assert "class value" not in said(phone.get("/bench/runs"))
    hide(wall, shown=True)
    assert figure_of(piece(phone, hidden.headers["ETag"]))


def test_a_phone_that_slept_through_three_steps_and_one_back_gets_what_the_wall_shows_now(wall: Wall) -> None:
    wall.go("spread")
    phone = phone_of(wall, 4)
    tag = piece(phone).headers["ETag"]
    for step in ("line", "percent error", "separated"):
        wall.go(step)
    awake = piece(phone, tag)
    assert "With the heat sink taken out" in said(awake)
    wall.go("line")
    back = said(piece(phone, awake.headers["ETag"]))
    assert "Each kJ/kg of fall energy warmed your shot by" in back
    assert ACCEPTED not in back


def test_a_bench_renumbered_while_its_phone_is_away_finds_itself_under_its_new_number(wall: Wall) -> None:
    wall.go("line")
    phone = phone_of(wall, 4)
    tag = piece(phone).headers["ETag"]
    group = wall.group
    renumber_bench(
        group.database,
        actor=group.teacher,
        practical_id=group.practical_id,
        bench_number=4,
        right_number=8,
        now=datetime.now(UTC),
    )
    answer = piece(phone, tag)
    assert 'data-number="8"' in said(answer)
    assert ">8</text>" in phone.get(figure_of(answer)).get_data(as_text=True)


def test_the_picture_is_for_this_bench_alone_and_for_no_phone_that_has_not_joined(wall: Wall) -> None:
    wall.go("spread")
    figure = figure_of(piece(phone_of(wall, 4)))
    assert ">5</text>" in phone_of(wall, 5).get(figure).get_data(as_text=True)
    stranger = wall.application.test_client()
    assert piece(stranger).status_code == 401
    assert stranger.get(figure).status_code == 302


def test_a_bench_without_a_value_or_with_none_counted_and_a_class_of_one_are_told_so(
    sqlite_database: Database,
) -> None:
    with a_wall(sqlite_database) as wall:
        group = wall.group
        send(group, [a_run(7, warming=-0.4)])
        wall.go("spread")
        assert "Your bench has no value of its own: its runs show no warming." in said(
            piece(phone_of(wall, 7))
        )
        assert "Your bench has no run in this picture yet." in said(piece(phone_of(wall, 8)))
        snapshot = board_snapshot(group.database, group.practical_id, actor=group.teacher)
        for run in snapshot.runs_of(2):
            set_aside(
                group.database,
                actor=group.teacher,
                run_id=run.run_id,
                reason="spilled",
                now=NOW,
                expected_revision=run.run_revision,
            )
        assert "Your bench's runs are all set aside" in said(piece(phone_of(wall, 2)))
        who: dict[str, Any] = {"actor": group.teacher, "now": NOW}
        planned = plan_practical(group.database, plan=a_plan(planned_benches=1), **who)
        alone = replace(
            group, practical=open_practical(group.database, practical_id=planned.practical_id, **who)
        )
        send(alone, [a_run(1)])
        one = Wall(wall.application, alone, wall.teacher)
        for step in VALUES:
            step_board(group.database, practical_id=alone.practical_id, to=step, **who)
            answer = piece(phone_of(one, 1))
            assert answer.status_code == 200
            if step != BoardStep.LINE:
                assert step == BoardStep.LEDGER or "The class has no interval yet." in said(answer)


def test_the_class_s_table_is_the_run_tables_own_columns_and_names_nobody(wall: Wall) -> None:
    wall.go("ledger")
    answer = phone_of(wall, 4).get("/bench/class.csv")
    text = answer.get_data(as_text=True)
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
    assert tuple(rows[0]) == COLUMNS
    assert [row["bench"] for row in rows] == [str(bench) for bench in range(1, 7) for _ in range(2)]
    assert wall.group.teacher.name not in text
    assert wall.group.teacher.login not in text


def test_the_sheet_for_the_write_up_has_own_runs_the_classs_result_and_every_figure(wall: Wall) -> None:
    wall.go("ledger")
    phone = phone_of(wall, 4)
    page = said(phone.get("/bench/take-home"))
    own = board_snapshot(wall.group.database, wall.group.practical_id, actor=wall.group.teacher).runs_of(4)
    for run in own:
        assert run.entry.end_temperature.raw in page
    assert page.count("<bdi>4</bdi>") == len(own)
    for words in ("Your bench reads", "Of your", "With the heat sink taken out", "Class result", ACCEPTED):
        assert words in page
    assert wall.group.teacher.name not in page
    pictures = re.findall(r'<img src="([^"]+)"', page)
    assert len(pictures) == len(STEP_OF_FIGURE)
    send(wall.group, [a_run(7)])
    assert {phone.get(one).status_code for one in pictures} == {200}, "of its own moment still"


@pytest.mark.parametrize(("language", "right_to_left"), [("en", False), ("ar", True)])
def test_figures_on_wall_and_phone_are_drawn_in_the_direction_of_their_language(
    wall: Wall, monkeypatch: pytest.MonkeyPatch, language: str, right_to_left: bool
) -> None:
    wall.go("spread")
    asked: list[Drawing] = []

    def draw(_studio: Studio, wanted: Drawing, *_: object) -> bytes:
        asked.append(wanted)
        return b"<svg></svg>"

    monkeypatch.setattr(Studio, "draw", draw)
    phone = phone_of(wall, 4)
    drawn = figure_of(piece(phone)).replace("language=en", f"language={language}")
    on_wall = re.search(r'src="(/board/[^"]+\.svg[^"]*)"', said(wall.teacher.get(f"{wall.address}/picture")))
    assert on_wall
    for reader, address in ((phone, drawn), (wall.teacher, on_wall[1].replace("=en", f"={language}"))):
        assert reader.get(address).status_code == 200
    assert [(one.language, one.right_to_left) for one in asked] == [(language, right_to_left)] * 2
    assert not any(one.complete for one in asked), "more is to be revealed"
