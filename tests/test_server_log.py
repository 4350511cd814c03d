"""The log's lines: plain or JSON, libraries' own without what they fill in, failures without their words."""

from __future__ import annotations

import io
import json
import logging
import re

import pytest
import structlog

from app.server_log import LINES_A_MINUTE, LOG, Sparing, logging_to


def failing() -> None:
    raise ValueError("the reading 341.75 of mrs-okafor")


def written(form: str) -> list[str]:
    stream = io.StringIO()
    with logging_to(stream, form):
        LOG.info("server starts", threads=24)
        try:
            failing()
        except ValueError:
            LOG.error("unexpected failure", exc_info=True, route="/j/<code>")
            logging.getLogger("plumbfall").exception("upkeep failed; it is tried again")
            logging.getLogger("a.library").exception("Exception while serving %s", "/j/K7EEHPN")
        logging.getLogger("plumbfall").warning("%d connections ended:\n%s", 3, "half-sent")
        logging.getLogger("a.library").info("not this")
    LOG.info("after it")
    return stream.getvalue().splitlines()


def test_a_line_is_plain_or_json_and_says_where_a_failure_was_but_not_its_words() -> None:
    plain, lines = written("plain"), [json.loads(line) for line in written("json")]
    assert [line["event"] for line in lines] == [
        "server starts",
        "unexpected failure",
        "upkeep failed; it is tried again",
        "a.library: Exception while serving %s",
        "3 connections ended:\nhalf-sent",
    ]
    assert len(plain) == 5, "a line each, whatever is in it"
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT[\d:.]+Z info     server starts threads=24", plain[0])
    assert (lines[0]["level"], lines[0]["threads"]) == ("info", 24)
    here = r"tests/test_server_log\.py"
    for line in lines[1:4]:
        assert line["failure"] == "ValueError"
        assert re.fullmatch(rf"{here}:\d+ failing < {here}:\d+ written", line["at"])
    everything = "\n".join([*plain, json.dumps(lines)])
    for secret in ("341.75", "okafor", "K7EEHPN"):
        assert secret not in everything


def test_a_flood_of_one_kind_is_cut_and_counted_and_others_are_not() -> None:
    sparing = Sparing(seconds=1e9)
    line = {"event": "refused", "status": 429, "route": "/code"}
    for _ in range(LINES_A_MINUTE):
        assert sparing(None, "warning", dict(line)) == line
    for _ in range(3):
        with pytest.raises(structlog.DropEvent):
            sparing(None, "warning", dict(line))
    assert sparing(None, "warning", {"event": "storage"}) == {"event": "storage"}
    sparing._seconds = 0  # the next minute
    assert sparing(None, "warning", dict(line)) == {**line, "left_out_before": 3}
    assert sparing(None, "warning", dict(line)) == line


@pytest.mark.parametrize("again", [False, True])
def test_a_line_comes_through_again_a_minute_after_the_first(
    monkeypatch: pytest.MonkeyPatch, again: bool
) -> None:
    """Also where the machine's clock has only just begun to count."""
    sparing, line = Sparing(), {"event": "refused"}
    if again:
        sparing.begin_again()
    let_through = []
    for moment in (5.0, *[6.0] * LINES_A_MINUTE, 64.9, 65.0, 65.1):
        monkeypatch.setattr("app.server_log.time.monotonic", lambda moment=moment: moment)
        try:
            let_through.append((moment, sparing(None, "warning", dict(line)).get("left_out_before")))
        except structlog.DropEvent:
            continue
    assert let_through == [(5.0, None), *[(6.0, None)] * (LINES_A_MINUTE - 1), (65.0, 2), (65.1, None)]


def test_each_server_of_a_process_begins_its_log_anew_and_leaves_none_behind() -> None:
    root, ours = logging.getLogger(), logging.getLogger("plumbfall")
    before = (list(root.handlers), ours.level)
    for _ in range(2):
        stream = io.StringIO()
        with logging_to(stream, "json"):
            assert ours.level == logging.INFO
            for _ in range(LINES_A_MINUTE + 1):
                LOG.info("refused", route="/größe")
        lines = stream.getvalue().splitlines()
        assert len(lines) == LINES_A_MINUTE
        assert '"/größe"' in lines[0], "as it was sent"
        assert (list(root.handlers), ours.level) == before


def test_a_place_outside_the_program_is_named_by_its_folder_and_file() -> None:
    stream = io.StringIO()
    with logging_to(stream, "json"):
        try:
            json.loads("{")
        except ValueError:
            LOG.error("unexpected failure", exc_info=True)
    places = json.loads(stream.getvalue())["at"].split(" < ")
    assert re.fullmatch(r"json/decoder\.py:\d+ raw_decode", places[0])
    assert re.match(r"tests/test_server_log\.py:", places[-1])
