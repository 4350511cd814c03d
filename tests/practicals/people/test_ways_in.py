"""Links that let one person in once: invitations, and new passwords that no head learns."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest

from app.practicals.people import sessions, ways_in
from app.practicals.people.colleagues import colleagues, set_colleague_role, switch_colleague
from app.practicals.people.departments import HeadsOnly, NoSuchColleague
from app.practicals.people.log import log_page
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import SignInRefused, TeacherProblem, new_teacher, sign_in
from app.practicals.people.ways_in import (
    INVITATION_LASTS,
    NEW_PASSWORD_LASTS,
    InvitationGone,
    LinkRanOut,
    LinkUnknown,
    LinkUsed,
    OwnLink,
    accept_invitation,
    invite,
    make_password_link,
    open_invitations,
    opened_link,
    take_back,
    take_new_password,
)
from app.practicals.upkeep.tidying import tidy
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.models import Teacher, WayIn
from tests.practicals.a_class import NOW, PASSWORD, a_teacher

NEW = "lantern gravel otter"
SECOND = timedelta(seconds=1)


def _come_in(database: Database, token: str, login: str = "new", **changed: Any) -> Any:
    given: dict[str, Any] = {"login": login, "name": "New", "password": NEW, "now": NOW} | changed
    return accept_invitation(database, token=token, **given)


def _signed(database: Database, login: str, password: str = PASSWORD) -> str:
    return sign_in(database, login=login, password=password, address="here", now=NOW).token


def test_who_is_invited_comes_into_the_heads_department_in_that_role(database: Database) -> None:
    head = a_teacher(database, "head", is_head=True)
    made = invite(database, actor=head, name=" Mr New ", role=Role.TECHNICIAN, now=NOW)
    assert [(one.name, one.role) for one in open_invitations(database, actor=head, now=NOW)] == [
        ("Mr New", Role.TECHNICIAN)
    ]
    added = _come_in(database, made.token, " New ")
    assert (added.login, added.department_id, added.role) == ("new", head.department_id, Role.TECHNICIAN)
    assert teacher_for_token(database, token=_signed(database, "new", NEW), now=NOW) == added
    assert open_invitations(database, actor=head, now=NOW) == []
    with database.reading() as session:
        kept = session.query(WayIn).one()
    assert made.token not in kept.token_digest
    lines = log_page(database, actor=head).lines
    assert [(line.kind, line.actor, line.teacher, line.detail) for line in lines] == [
        (LogKind.SIGNED_IN, "New", "New", ""),
        (LogKind.TEACHER_ADDED, "New", "New", "technician"),
        (LogKind.TEACHER_INVITED, "Head", None, "technician"),
        (LogKind.TEACHER_ADDED, None, "Head", "head"),
    ]


def test_who_is_invited_has_a_name_of_at_most_120_characters(sqlite_database: Database) -> None:
    asks: dict[str, Any] = {"actor": a_teacher(sqlite_database, is_head=True), "role": Role.HEAD, "now": NOW}
    for name in ("x", "x" * 120):
        made = invite(sqlite_database, name=name, **asks)
        assert (made.name, made.expires_at) == (name, NOW + INVITATION_LASTS)
    for name in (" ", "x" * 121):
        with pytest.raises(TeacherProblem, match="up to 120 characters"):
            invite(sqlite_database, name=name, **asks)


def test_a_link_works_once_and_not_for_ever(database: Database) -> None:
    head, teacher = a_teacher(database, "head", is_head=True), a_teacher(database)
    used = invite(database, actor=head, name="New", role=Role.TEACHER, now=NOW)
    _come_in(database, used.token)
    with pytest.raises(LinkUsed):
        _come_in(database, used.token, "other")
    late = invite(database, actor=head, name="Late", role=Role.TEACHER, now=NOW)
    assert opened_link(database, token=late.token, now=NOW + INVITATION_LASTS - SECOND).name == "Late"
    for at, names in ((NOW + INVITATION_LASTS - SECOND, ["Late"]), (NOW + INVITATION_LASTS, [])):
        assert [one.name for one in open_invitations(database, actor=head, now=at)] == names
    with pytest.raises(LinkRanOut):
        _come_in(database, late.token, "late", now=NOW + INVITATION_LASTS)
    password = make_password_link(database, actor=head, teacher_id=teacher.teacher_id, now=NOW)
    with pytest.raises(LinkRanOut):
        take_new_password(database, token=password.token, password=NEW, now=NOW + NEW_PASSWORD_LASTS)
    for wrong in ("", "x", used.token + "x", "x" * 5000):
        with pytest.raises(LinkUnknown):
            opened_link(database, token=wrong, now=NOW)
    with pytest.raises(LinkUnknown):
        take_new_password(database, token=late.token, password=NEW, now=NOW)
    with pytest.raises(LinkUnknown):
        _come_in(database, password.token)
    with database.reading() as session:
        assert session.query(Teacher).count() == 3


def test_a_new_password_ends_every_sign_in_and_only_it_opens_the_desk(database: Database) -> None:
    head, teacher = a_teacher(database, "head", is_head=True), a_teacher(database)
    token = _signed(database, teacher.login)
    about: dict[str, Any] = {"actor": head, "teacher_id": teacher.teacher_id, "now": NOW}
    earlier = make_password_link(database, **about)
    made = make_password_link(database, **about)
    assert teacher_for_token(database, token=token, now=NOW) is not None, "the link alone changes nothing"
    with pytest.raises(LinkUsed):
        take_new_password(database, token=earlier.token, password=NEW, now=NOW)
    with pytest.raises(TeacherProblem, match="made of a name"):
        take_new_password(database, token=made.token, password="mrs-okafor1", now=NOW)
    assert take_new_password(database, token=made.token, password=NEW, now=NOW) == teacher
    assert teacher_for_token(database, token=token, now=NOW) is None
    with pytest.raises(SignInRefused):
        _signed(database, teacher.login)
    assert _signed(database, teacher.login, NEW)
    kinds = (LogKind.PASSWORD_CHANGED, LogKind.PASSWORD_RESET)
    lines = [line for line in log_page(database, actor=head).lines if line.kind in kinds]
    assert [(line.kind, line.actor, line.teacher) for line in lines] == [
        (LogKind.PASSWORD_CHANGED, "Mrs-Okafor", "Mrs-Okafor"),
        *[(LogKind.PASSWORD_RESET, "Head", "Mrs-Okafor")] * 2,
    ]
    with pytest.raises(OwnLink, match=r"changed under “Change your password”\. Nothing was"):
        make_password_link(database, actor=head, teacher_id=head.teacher_id, now=NOW)


def test_a_name_that_is_taken_uses_no_invitation_up(database: Database) -> None:
    head = a_teacher(database, "head", is_head=True)
    made = invite(database, actor=head, name="New", role=Role.TEACHER, now=NOW)
    with pytest.raises(TeacherProblem, match="already a teacher") as refused:
        _come_in(database, made.token, "head")
    assert refused.value.field == "login"
    assert _come_in(database, made.token).login == "new"


def test_links_end_with_who_made_them_and_whom_they_are_for(database: Database) -> None:
    head, other = a_teacher(database, "head", is_head=True), a_teacher(database, "other", is_head=True)
    teacher = a_teacher(database)
    invited = invite(database, actor=other, name="New", role=Role.HEAD, now=NOW)
    about: dict[str, Any] = {"actor": head, "now": NOW}
    set_colleague_role(database, teacher_id=other.teacher_id, role=Role.TEACHER, **about)
    with pytest.raises(LinkUsed):
        _come_in(database, invited.token)
    made = make_password_link(database, teacher_id=teacher.teacher_id, **about)
    switch_colleague(database, teacher_id=teacher.teacher_id, active=False, **about)
    switch_colleague(database, teacher_id=teacher.teacher_id, active=True, **about)
    with pytest.raises(LinkUsed):
        take_new_password(database, token=made.token, password=NEW, now=NOW)


def test_an_invitation_is_taken_back_once_and_by_its_own_department(database: Database) -> None:
    head = a_teacher(database, "head", is_head=True)
    stranger = a_teacher(database, "stranger", department="Chemistry", is_head=True)
    made = invite(database, actor=head, name="New", role=Role.TEACHER, now=NOW)
    (one,) = open_invitations(database, actor=head, now=NOW)
    assert open_invitations(database, actor=stranger, now=NOW) == []
    with pytest.raises(InvitationGone):
        take_back(database, actor=stranger, way_in_id=one.way_in_id, now=NOW)
    assert take_back(database, actor=head, way_in_id=one.way_in_id, now=NOW) == "New"
    with pytest.raises(InvitationGone):
        take_back(database, actor=head, way_in_id=one.way_in_id, now=NOW)
    with pytest.raises(LinkUsed):
        _come_in(database, made.token)


def test_nobody_but_a_head_makes_links_and_none_for_another_department(database: Database) -> None:
    head, teacher = a_teacher(database, "head", is_head=True), a_teacher(database)
    stranger = a_teacher(database, "stranger", department="Chemistry", is_head=True)
    with pytest.raises(HeadsOnly):
        invite(database, actor=teacher, name="New", role=Role.HEAD, now=NOW)
    with pytest.raises(HeadsOnly):
        open_invitations(database, actor=teacher, now=NOW)
    with pytest.raises(HeadsOnly):
        take_back(database, actor=teacher, way_in_id=1, now=NOW)
    for actor, problem in ((teacher, HeadsOnly), (stranger, NoSuchColleague)):
        with pytest.raises(problem):
            make_password_link(database, actor=actor, teacher_id=head.teacher_id, now=NOW)
    with database.reading() as session:
        assert session.query(WayIn).count() == 0


def test_of_two_who_use_an_invitation_at_once_one_comes_in(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    head = a_teacher(database, "head", is_head=True)
    made = invite(database, actor=head, name="New", role=Role.HEAD, now=NOW)
    together, refused = threading.Barrier(2), []
    check = new_teacher

    def after_both_have_looked(**given: Any) -> Any:
        checked = check(**given)
        together.wait()
        return checked

    monkeypatch.setattr(ways_in, "new_teacher", after_both_have_looked)

    def use(login: str) -> None:
        try:
            _come_in(database, made.token, login)
        except LinkUsed as problem:
            refused.append(problem)

    threads = [threading.Thread(target=use, args=(login,)) for login in ("one", "two")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(colleagues(database, actor=head)), len(refused)) == (2, 1)


def test_links_that_ran_out_are_forgotten_after_a_while(database: Database) -> None:
    head = a_teacher(database, "head", is_head=True)
    invite(database, actor=head, name="New", role=Role.TEACHER, now=NOW)
    for days, left in ((37, 1), (38, 0)):
        later = NOW + timedelta(days=days)
        tidy(database, now=later, today=later.date())
        with database.reading() as session:
            assert session.query(WayIn).count() == left


def test_own_sessions_are_listed_and_ended_and_nobody_elses(database: Database) -> None:
    teacher = a_teacher(database)
    other = a_teacher(database, "other")
    here, there = _signed(database, teacher.login), _signed(database, teacher.login)
    elses = _signed(database, "other")
    asks: dict[str, Any] = {"actor": teacher, "token": here, "now": NOW}
    listed = sessions.own_sessions(database, **asks)
    assert [one.here for one in listed] == [True, False]
    sessions.end_own_session(database, actor=other, session_id=listed[1].session_id, now=NOW)
    assert teacher_for_token(database, token=there, now=NOW) == teacher
    sessions.end_own_session(database, actor=teacher, session_id=listed[1].session_id, now=NOW)
    assert teacher_for_token(database, token=there, now=NOW) is None
    again = _signed(database, teacher.login)
    sessions.end_other_sessions(database, **asks)
    assert teacher_for_token(database, token=again, now=NOW) is None
    assert teacher_for_token(database, token=here, now=NOW) == teacher
    assert teacher_for_token(database, token=elses, now=NOW) == other


def test_a_session_in_which_nothing_is_done_ends_and_one_in_use_goes_on(database: Database) -> None:
    a_teacher(database)
    token, hour = _signed(database, "mrs-okafor"), timedelta(hours=1)
    of_token: dict[str, Any] = {"token": token, "idle": 2 * hour}
    assert teacher_for_token(database, now=NOW + hour, acts=True, **of_token)
    assert teacher_for_token(database, now=NOW + 2.5 * hour, acts=False, **of_token), "acted an hour in"
    assert teacher_for_token(database, now=NOW + 3 * hour - SECOND, acts=True, **of_token)
    assert teacher_for_token(database, now=NOW + 5 * hour, **of_token) is None
    assert teacher_for_token(database, token=token, now=NOW + 5 * hour), "without an idle end"
