"""A lesson handed to a colleague: for some days or for good, ended early, and in its history."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from app.practicals.lesson.covers import (
    LONGEST_COVER,
    HandOverProblem,
    candidates,
    cover_of,
    covers_of_department,
    end_cover,
    give_cover,
    give_for_good,
)
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.permission import NoSuchPractical, NotYourPractical, OnlyCovered
from app.practicals.lesson.states import pause_practical, resume_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.colleagues import set_colleague_role, switch_colleague
from app.practicals.people.log import log_page
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import sign_in
from app.practicals.runs.history import history
from app.records.choices import HistoryKind, LogKind, Role
from app.records.engine import Database
from app.records.models import Practical
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, a_teacher

DAY = date(2031, 3, 6)
MIDNIGHT = NOW + timedelta(hours=14)


def _as_now(database: Database, login: str, now: Any = NOW) -> TeacherIdentity:
    """Who this is at a moment, as a request finds out."""
    token = sign_in(database, login=login, password=PASSWORD, address="here", now=NOW).token
    found = teacher_for_token(database, token=token, now=now)
    assert found is not None
    return found


def test_who_covers_runs_it_until_the_day_is_over_and_does_not_give_it_away(database: Database) -> None:
    one, colleague = a_collecting_class(database), a_teacher(database, "colleague")
    about: dict[str, Any] = {"practical_id": one.practical_id, "now": NOW}
    with pytest.raises(NotYourPractical):
        pause_practical(database, actor=_as_now(database, "colleague"), **about)
    give: dict[str, Any] = {"to": colleague.teacher_id, "last_day": DAY, "ends_at": MIDNIGHT}
    assert give_cover(database, actor=one.teacher, **give, **about) == "Colleague"
    covering = _as_now(database, "colleague")
    pause_practical(database, actor=covering, **about)
    resume_practical(database, actor=one.teacher, **about)
    for act in (end_cover, delete_practical):
        with pytest.raises(OnlyCovered):
            act(database, actor=covering, **about)
    with pytest.raises(OnlyCovered):
        give_for_good(database, actor=covering, to=colleague.teacher_id, **about)
    (cover,) = covers_of_department(database, actor=covering, now=NOW).values()
    assert (cover.teacher, cover.owner, cover.ends_at) == ("Colleague", "Mrs-Okafor", MIDNIGHT)
    assert cover_of(database, actor=covering, **about) == cover
    last = MIDNIGHT - timedelta(hours=2)
    assert _as_now(database, "colleague", min(last, NOW + timedelta(hours=11))).covers == {one.practical_id}
    assert covers_of_department(database, actor=one.teacher, now=MIDNIGHT) == {}
    assert (
        teacher_for_token(
            database,
            token=sign_in(database, login="colleague", password=PASSWORD, address="x", now=MIDNIGHT).token,
            now=MIDNIGHT,
        )
        == colleague
    ), "covers nothing any more"


def test_the_teacher_or_the_head_ends_it_early_and_the_history_says_all(database: Database) -> None:
    one, colleague = a_collecting_class(database), a_teacher(database, "colleague")
    head = a_teacher(database, "head", is_head=True)
    about: dict[str, Any] = {"practical_id": one.practical_id, "now": NOW}
    give: dict[str, Any] = {"to": colleague.teacher_id, "last_day": DAY, "ends_at": MIDNIGHT, **about}
    give_cover(database, actor=head, **give)
    end_cover(database, actor=one.teacher, **about)
    end_cover(database, actor=one.teacher, **about)  # nothing to end any more
    assert cover_of(database, actor=head, **about) is None
    with pytest.raises(NotYourPractical):
        pause_practical(database, actor=_as_now(database, "colleague"), **about)
    give_cover(database, actor=one.teacher, **give)
    end_cover(database, actor=head, **about)
    lines = history(database, actor=head, practical_id=one.practical_id)
    told = [(line.kind, line.actor, line.reason) for line in lines if "over" in line.kind]
    assert told == [
        (HistoryKind.COVER_GIVEN, "Head", "2031-03-06 Colleague"),
        (HistoryKind.COVER_ENDED, "Mrs-Okafor", "Colleague"),
        (HistoryKind.COVER_GIVEN, "Mrs-Okafor", "2031-03-06 Colleague"),
        (HistoryKind.COVER_ENDED, "Head", "Colleague"),
    ]
    logged = log_page(database, actor=head, kind=LogKind.HANDED_OVER).lines
    assert [(line.actor, line.teacher, line.practical, line.detail) for line in logged] == [
        ("Mrs-Okafor", "Colleague", "Period 4", "until 2031-03-06"),
        ("Head", "Colleague", "Period 4", "until 2031-03-06"),
    ]


def test_given_for_good_it_is_the_colleagues_own_and_a_cover_ends(database: Database) -> None:
    one, colleague = a_collecting_class(database), a_teacher(database, "colleague")
    third = a_teacher(database, "third")
    about: dict[str, Any] = {"practical_id": one.practical_id, "now": NOW}
    for covering in (colleague, third):
        until: dict[str, Any] = {"last_day": DAY, "ends_at": MIDNIGHT}
        give_cover(database, actor=one.teacher, to=covering.teacher_id, **until, **about)
    found = [_as_now(database, who).covers for who in ("colleague", "third")]
    assert found == [frozenset(), {one.practical_id}], "the earlier cover ends with the later one"
    give_for_good(database, actor=one.teacher, to=colleague.teacher_id, **about)
    pause_practical(database, actor=colleague, **about)
    for nobody in (one.teacher, _as_now(database, "third")):
        with pytest.raises(NotYourPractical):
            resume_practical(database, actor=nobody, **about)
    last = history(database, actor=colleague, practical_id=one.practical_id)[-2]
    assert (last.kind, last.actor, last.reason) == (HistoryKind.OWNER_CHANGED, "Mrs-Okafor", "Colleague")
    with database.reading() as session:
        assert session.get_one(Practical, one.practical_id).teacher_id == colleague.teacher_id
    logged = log_page(
        database, actor=a_teacher(database, "head", is_head=True), kind=LogKind.HANDED_OVER
    ).lines
    assert (logged[0].teacher, logged[0].detail) == ("Colleague", "for good")


def test_it_is_handed_to_nobody_who_cannot_run_it(database: Database) -> None:
    one = a_collecting_class(database)
    head = a_teacher(database, "head", is_head=True)
    technician = a_teacher(database, "technician", role=Role.TECHNICIAN)
    stranger = a_teacher(database, "stranger", department="Chemistry", is_head=True)
    about: dict[str, Any] = {"practical_id": one.practical_id, "now": NOW}
    off, _ = a_teacher(database, "off"), a_teacher(database, "anna")
    switch_colleague(database, actor=head, teacher_id=off.teacher_id, active=False, now=NOW)
    people = candidates(database, actor=one.teacher, practical_id=one.practical_id)
    assert [person.name for person in people] == ["Anna", "Head"]
    for to in (technician, stranger, off, one.teacher):
        with pytest.raises(HandOverProblem) as refused:
            give_for_good(database, actor=one.teacher, to=to.teacher_id, **about)
        assert refused.value.field == "to"
    over: dict[str, Any] = {"to": head.teacher_id, "last_day": DAY, "ends_at": NOW, **about}
    with pytest.raises(HandOverProblem) as refused:
        give_cover(database, actor=one.teacher, **over)
    assert refused.value.field == "last_day"
    longest = over | {"ends_at": NOW + LONGEST_COVER}
    assert give_cover(database, actor=one.teacher, **longest) == "Head"
    with pytest.raises(NoSuchPractical):
        give_for_good(database, actor=stranger, to=stranger.teacher_id, **about)


def test_a_covering_teacher_who_becomes_technician_runs_nothing(database: Database) -> None:
    one, colleague = a_collecting_class(database), a_teacher(database, "colleague")
    head = a_teacher(database, "head", is_head=True)
    about: dict[str, Any] = {"practical_id": one.practical_id, "now": NOW}
    give: dict[str, Any] = {"to": colleague.teacher_id, "last_day": DAY, "ends_at": MIDNIGHT}
    give_cover(database, actor=one.teacher, **give, **about)
    role = {"teacher_id": colleague.teacher_id, "role": Role.TECHNICIAN, "now": NOW}
    set_colleague_role(database, actor=head, **role)  # type: ignore[arg-type]
    with pytest.raises(NotYourPractical):
        pause_practical(database, actor=_as_now(database, "colleague"), **about)
