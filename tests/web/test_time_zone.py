"""Clocks and days are those of the school, not those of UTC.

UTC+14 is Kiritimati's offset, UTC−12 the other end of the date line (tz database).
"""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from flask import Flask

from app.practicals.board.snapshot import class_snapshot
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    Reader,
    a_class,
    application,
    desk,
    nobody,
    planned,
    teacher,
)

EAST, WEST = "Pacific/Kiritimati", "Etc/GMT+12"


@pytest.fixture(params=[EAST, WEST])
def zone(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[ZoneInfo]:
    """The school's server stands in this zone."""
    with monkeypatch.context() as patch:
        patch.setenv("TZ", request.param)
        time.tzset()
        yield ZoneInfo(request.param)
    time.tzset()


@pytest.fixture
def of_the_school(zone: ZoneInfo, application: Flask, teacher: TeacherIdentity) -> Reader:  # noqa: F811
    """The desk of a server that was started there."""
    return Reader(application.test_client()).let_in(teacher.login)


@pytest.fixture
def run_class(zone: ZoneInfo, a_class: AClass) -> AClass:  # noqa: F811 - the fixture
    """A class of one run, entered and set aside at 10:15:00 UTC on 6 March 2031."""
    enter_run(a_class.database, actor=a_class.join(1), key=new_key(), entry=an_entry(), now=NOW)
    (run,) = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs
    set_aside(
        a_class.database,
        actor=a_class.teacher,
        run_id=run.run_id,
        reason="dropped",
        expected_revision=run.run_revision,
        now=NOW,
    )
    return a_class


WANTED = {EAST: ("00:15", "7 March 2031"), WEST: ("22:15", "5 March 2031")}


def test_what_happened_is_told_by_the_schools_clock_and_day(
    of_the_school: Reader, run_class: AClass, zone: ZoneInfo
) -> None:
    clock, day = WANTED[zone.key]
    history = of_the_school.text(f"/desk/{run_class.practical_id}/history")
    told = re.findall(r'<time datetime="([^"]+)">([^<]+)</time>', history)
    assert told
    for exact, words in told:
        assert datetime.fromisoformat(exact) == NOW
        assert words == f"{day}, {clock}:00"
    bench = of_the_school.text(f"/desk/{run_class.practical_id}/bench/1")
    assert re.search(rf"<dt>Joined</dt>\s*<dd>{clock}</dd>", bench)
    decisions = of_the_school.text(f"/desk/{run_class.practical_id}/decisions")
    assert f"at {clock}:" in decisions


def test_last_updated_is_the_time_on_the_schools_wall(
    of_the_school: Reader, run_class: AClass, zone: ZoneInfo
) -> None:
    for address, words in (
        (f"/desk/{run_class.practical_id}/", r"Last updated <time[^>]*>(\d\d:\d\d):\d\d<"),
        (f"/board/{run_class.practical_id}", r"Last updated (\d\d:\d\d)\."),
    ):
        before = datetime.now(UTC)
        found = re.search(words, of_the_school.text(address))
        assert found, address
        possible = {f"{moment.astimezone(zone):%H:%M}" for moment in (before, datetime.now(UTC))}
        assert found[1] in possible, address


def _zone_of_another_day() -> str:
    """A place where it is not the day that UTC has."""
    return EAST if datetime.now(UTC).hour >= 11 else WEST


@pytest.mark.parametrize("zone", [_zone_of_another_day()], indirect=True)
def test_a_new_practical_is_offered_for_the_schools_today(
    of_the_school: Reader, run_class: AClass, zone: ZoneInfo
) -> None:
    for address in ("/desk/new", f"/desk/{run_class.practical_id}/copy"):
        before = datetime.now(UTC)
        found = re.search(r'name="held_on"[^>]* value="([^"]+)"', of_the_school.text(address))
        assert found, address
        moments = (before, datetime.now(UTC))
        possible = {moment.astimezone(zone).date().isoformat() for moment in moments}
        assert found[1] in possible, address
