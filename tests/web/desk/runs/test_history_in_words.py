"""What was done with a practical stands in its history in words, the newest first."""

from __future__ import annotations

import re
from typing import Any

from flask import Flask
from flask_babel import force_locale

from app.practicals.benches.joining import join_bench
from app.practicals.lesson.plan import practical_details
from app.practicals.runs.history import HistoryLine
from app.web.audience import now
from app.web.desk.runs.history import detail_of
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def test_every_step_of_a_lesson_is_told_as_what_it_was(desk: Reader, planned: AClass) -> None:
    here = f"/desk/{planned.practical_id}"
    desk.post(f"{here}/conduct/open")
    here_now: dict[str, Any] = {"practical_id": planned.practical_id, "actor": planned.teacher}
    code = practical_details(planned.database, **here_now).join_code
    join_bench(planned.database, code=code or "", bench_number=2, now=now())
    steps: list[tuple[str, dict[str, str], str]] = [
        ("bench/2/release", {}, "Bench released for another phone"),
        ("bench/2/renumber", {"right_number": "7"}, "Bench number put right"),
        ("wall", {"what": "forward"}, "Board"),
        ("wall", {"what": "hold"}, "Board held still"),
        ("wall", {"what": "follow"}, "Board follows the class again"),
        ("wall", {"what": "phones-hide"}, "Phones no longer show the class result"),
        ("wall", {"what": "phones-show"}, "Phones may show the class result"),
        ("conduct/replace-code", {"sure": "yes"}, "Code replaced"),
        ("conduct/pause", {}, "Paused"),
        ("conduct/resume", {}, "Carried on"),
        ("conduct/finish", {"sure": "yes"}, "Finished"),
        ("conduct/reopen", {}, "Reopened"),
    ]
    for address, form, _words in steps:
        assert desk.post(f"{here}/{address}", **form).status_code == 302
    page = desk.text(f"{here}/history").split("<main")[1]
    told = re.findall(r"<b>([^<]+)</b>", page)
    assert told == ["Planned", *(words for *_step, words in reversed(steps)), "Opened for benches"]
    assert page.count("<p>The spread</p>") == 1, "the step's name, not its word in the records"


def test_a_new_code_that_found_no_phone_to_end_says_so(desk: Reader, a_class: AClass) -> None:
    here = f"/desk/{a_class.practical_id}"
    desk.post(f"{here}/conduct/replace-code", end="typed", since="00:00", sure="yes")
    page = desk.text(f"{here}/history")
    assert "Phones ended with the old code" in page
    assert "none had joined since 00:00" in page


def test_a_former_teacher_is_one_in_the_reader_s_language(application: Flask) -> None:
    kept, said = "a former teacher", "eine frühere Lehrkraft"  # of the German catalogue
    with application.test_request_context(), force_locale("de"):
        for kind, words in (("owner changed", said), ("cover ended", said), ("of a later version", kept)):
            assert detail_of(HistoryLine(now(), kind, "", reason=kept)) == words
