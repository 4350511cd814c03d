"""A new code that ends phones which joined since a moment; they are told, and join again with it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from sqlalchemy import select, update

from app.practicals.benches.joining import join_bench
from app.practicals.lesson.details import PracticalDetails
from app.practicals.lesson.plan import practical_details
from app.records.models import Bench, BenchPhone
from app.settings import Settings
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader
from tests.web.phone.phone import Phone


@pytest.fixture
def address(a_class: AClass) -> str:
    return f"/desk/{a_class.practical_id}/conduct/replace-code"


def _details(one: AClass) -> PracticalDetails:
    return practical_details(one.database, actor=one.teacher, practical_id=one.practical_id)


def _join(application: Flask, one: AClass, number: int, minutes_ago: float) -> Phone:
    """A phone that joined so long ago."""
    phone = Phone(application.test_client())
    phone.join(_details(one).join_code or "", number)
    then = datetime.now(UTC) - timedelta(minutes=minutes_ago)
    with one.database.writing() as session:
        bench = session.scalars(select(Bench).where(Bench.number == number)).one()
        session.execute(update(BenchPhone).where(BenchPhone.bench_id == bench.id).values(joined_at=then))
    return phone


def _still_joined(one: AClass) -> set[int]:
    with one.database.reading() as session:
        wanted = select(Bench.number).join(BenchPhone).where(BenchPhone.left_at.is_(None))
        return set(session.scalars(wanted))


def _in_ten_minutes(page: str) -> str:
    """What stands for the suggestion of the last ten minutes."""
    (value,) = re.findall(r'name="end" value="(\d+)"[^>]*> End those that joined in the last ten', page)
    return str(value)


def test_the_page_says_who_joined_and_ends_just_those(
    desk: Reader, a_class: AClass, application: Flask, address: str
) -> None:
    honest = _join(application, a_class, 2, 10.5)
    flood = [_join(application, a_class, number, 3) for number in (10, 11, 50)]
    asked = desk.post(address).get_data(as_text=True)
    assert re.search(r"in the last ten minutes, since \d\d:\d\d: 3 phones, benches 10, 11, 50<", asked)
    code = _details(a_class).join_code
    done = desk.post(address, end=_in_ten_minutes(asked), sure="yes")
    sentence = r"The code is new, and the phones that joined since \d\d:\d\d are ended\."
    assert re.search(sentence, desk.text(done.location))
    assert _details(a_class).join_code != code
    assert _still_joined(a_class) == {2}
    with a_class.database.reading() as session:
        assert session.scalar(select(Bench).where(Bench.number == 50)) is None, "it waited beyond the plan"
    history = desk.text(f"/desk/{a_class.practical_id}/history")
    assert re.search(r"3, joined since \d\d:\d\d; benches: 10, 11, 50", history)
    honest.open("/bench/runs")
    assert honest.path == "/bench/runs"
    told = flood[0].client.post("/bench/send", headers={"X-Plumbfall": "script"}, data=_with_token(flood[0]))
    assert told.status_code == 401
    assert "Your teacher has ended this phone's place at bench 10." in told.get_json()["problem"]
    flood[0].open("/bench/runs")
    assert flood[0].path == "/"
    assert "Your teacher has ended this phone's place at bench 10." in flood[0].text
    flood[0].send("/code", {"code": code})
    assert "No class is open under that code." in flood[0].text
    flood[0].join(_details(a_class).join_code or "", 10)
    flood[0].open("/bench/ours")
    assert flood[0].path == "/bench/ours"
    flood[0].open("/")
    assert "has ended this phone" not in flood[0].text


def _with_token(phone: Phone) -> dict[str, str]:
    token = phone.client.get("/bench/token").get_json()
    return {"csrf_token": token["token"]}


def test_a_typed_time_is_shown_first_and_a_wrong_one_is_said_with_the_code_as_it_was(
    desk: Reader, a_class: AClass, application: Flask, address: str
) -> None:
    _join(application, a_class, 10, 0)
    code = _details(a_class).join_code
    local = Settings.from_environment({}).local
    now = datetime.now(UTC)
    for typed, problem in (
        ("", "Write the time as hours and minutes"),
        ("half past", "Write the time as hours and minutes"),
        (f"{local(now + timedelta(minutes=2)):%H:%M}", "That time is still to come."),
    ):
        if local(now + timedelta(minutes=2)).day != local(now).day and "come" in problem:
            continue
        for button in ({"sure": "yes"}, {"show": "yes"}):
            answer = desk.post(address, end="typed", since=typed, **button)
            assert answer.status_code == 422
            assert problem in answer.get_data(as_text=True)
    assert desk.post(address, end="x", sure="yes").status_code == 422
    assert desk.post(address, end="9" * 12, sure="yes").status_code == 422
    midnight = "00:00"
    shown = desk.post(address, end="typed", since=midnight, show="yes").get_data(as_text=True)
    assert "Joined since 00:00: 1 phone, bench 10<" in shown
    assert _details(a_class).join_code == code
    assert 10 in _still_joined(a_class)
    desk.post(address, end="typed", since=midnight, sure="yes")
    assert _details(a_class).join_code != code
    assert 10 not in _still_joined(a_class)


def test_everybody_stays_where_nobody_is_chosen(
    desk: Reader, a_class: AClass, application: Flask, address: str
) -> None:
    _join(application, a_class, 10, 3)
    desk.post(address, end="nobody", sure="yes")
    assert 10 in _still_joined(a_class)
    assert "Phones ended" not in desk.text(f"/desk/{a_class.practical_id}/history")


def test_a_second_phone_that_is_ended_leaves_the_first_one_where_it_is(
    desk: Reader, a_class: AClass, application: Flask, address: str
) -> None:
    _join(application, a_class, 10, 40)
    with a_class.database.reading() as session:
        key = session.scalars(select(Bench.bench_key).where(Bench.number == 10)).one()
    join_bench(
        a_class.database,
        code=_details(a_class).join_code or "",
        bench_number=10,
        bench_key=key,
        now=datetime.now(UTC),
    )
    asked = desk.post(address).get_data(as_text=True)
    assert re.search(r"in the last ten minutes, since \d\d:\d\d: 1 phone, bench 10<", asked)
    desk.post(address, end=_in_ten_minutes(asked), sure="yes")
    with a_class.database.reading() as session:
        phones = session.scalars(select(BenchPhone).join(Bench).where(Bench.number == 10)).all()
        assert sorted(phone.ended_by_teacher for phone in phones) == [False, True]
    assert 10 in _still_joined(a_class)


def test_the_code_page_leads_to_it(desk: Reader, a_class: AClass) -> None:
    assert "Replace the code …" in desk.text(f"/desk/{a_class.practical_id}/code")
