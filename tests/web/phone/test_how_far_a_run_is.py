"""What the server notes and keeps of a run while its bench types it without script."""

from __future__ import annotations

from decimal import Decimal

from flask import Flask, session

from app.practicals.benches.watch import benches_of
from app.records.choices import BenchProgress
from app.web.phone import draft
from app.web.phone.typed import TypedRun
from tests.practicals.a_class import AClass
from tests.web.phone.phone import READINGS, Phone

START = "2031-03-06T10:42:00+00:00"


def test_the_teacher_sees_how_far_a_run_is_and_when_its_start_was_read(phone: Phone, a_class: AClass) -> None:
    phone.open("/bench/")
    seen, began = {}, []
    for step in ("weigh", "tube", "start", "count", "end"):
        assert phone.path == f"/bench/run/{step}"
        phone.step(**READINGS)
        (bench,) = benches_of(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
        seen[step] = bench.progress
        began.append(phone.form()["start_read_at"])
    assert seen == {
        "weigh": BenchProgress.JOINED,
        "tube": BenchProgress.JOINED,
        "start": BenchProgress.START_READ,
        "count": BenchProgress.COUNTING,
        "end": BenchProgress.END_READ,
    }
    assert [bool(one) for one in began] == [False, False, True, True, True]
    assert len(set(began[2:])) == 1
    phone.open("/bench/run/start")
    phone.step(start_read_at=START)
    assert phone.form()["start_read_at"] == START, "the phone's own moment stands"


def test_a_draft_is_kept_longer_than_its_browser_is_open(application: Flask) -> None:
    with application.test_request_context():
        assert not session.permanent
        draft.keep(7, TypedRun("k", {"shot_mass": "340"}))
        assert session.permanent


def test_a_word_for_a_reading_that_there_is_not_changes_nothing(phone: Phone) -> None:
    phone.open("/bench/run/weigh")
    assert phone.step(shot_mass="340", as_typed="key").status_code == 200
    assert phone.path == "/bench/run/tube"


def test_a_first_run_is_offered_the_lengths_of_the_plan_in_centimetres(phone: Phone, a_class: AClass) -> None:
    plan = a_class.practical.plan
    assert (plan.tube_length_m, plan.end_allowance_m) == (1, Decimal("0.05"))
    phone.open("/bench/run/tube")
    form = phone.form()
    assert (form["tube_length"], form["end_allowance"]) == ("100", "5")
