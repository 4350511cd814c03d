"""Where a teacher signed in before, others' guesses keep nobody out; a cookie of its own proves it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.practicals.people import credentials, passwords, teachers
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.colleagues import set_password, switch_colleague
from app.practicals.people.passwords import Queues
from app.practicals.people.ways_in import invite, make_password_link
from app.records.choices import Role
from app.records.engine import Database
from app.records.models import KnownBrowser, Teacher
from app.settings import Settings
from app.web import audience
from app.web.department.people import account
from app.web.department.people import sign_in as pages
from tests.practicals.a_class import NOW, PASSWORD, a_teacher
from tests.practicals.people.links import new_password_by_link
from tests.practicals.seen import count
from tests.web.desk.conftest import Reader

COOKIE = "plumbfall-browser"
NEW = "lantern gravel otter"
LOGIN = "mrs-okafor"


class Clock:
    """The time that the sign-in page, the account's page and the gate before both see."""

    def __init__(self) -> None:
        self.time = NOW

    def __call__(self) -> object:
        return self.time


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    standing = Clock()
    monkeypatch.setattr(pages, "now", standing)
    monkeypatch.setattr(account, "now", standing)
    monkeypatch.setattr(audience, "now", standing)  # a session of another time than the gate's is over
    return standing


@pytest.fixture
def browser(application: Flask) -> Callable[[], Reader]:
    """A new browser, at the one address that the school has."""
    return lambda: Reader(application.test_client())


@pytest.fixture
def desk(browser: Callable[[], Reader], teacher: TeacherIdentity) -> Reader:
    """Signed in on the page and by its clock."""
    return browser().sign_in(teacher.login)


@pytest.fixture
def known(browser: Callable[[], Reader], teacher: TeacherIdentity) -> Reader:
    """A browser in which the teacher signed in, and out again."""
    reader = browser().sign_in(teacher.login)
    assert reader.post("/sign-out").status_code == 302
    return reader


def tries(reader: Reader, password: str = PASSWORD, login: str = LOGIN) -> int:
    return reader.post("/sign-in", login=login, password=password).status_code


def slowed_by_others(browser: Callable[[], Reader], login: str = LOGIN) -> None:
    """Somebody at the same address guesses until the right password is not looked at any more."""
    guesser = browser()
    assert [tries(guesser, f"guess {n}", login) for n in range(6)] == [422] * 5 + [429]
    assert tries(browser(), login=login) == 429


def proof_of(reader: Reader) -> str:
    cookie = reader.client.get_cookie(COOKIE)
    assert cookie is not None
    return cookie.value


def test_whoever_guesses_beside_it_a_known_browser_signs_in_at_once(
    browser: Callable[[], Reader], known: Reader
) -> None:
    slowed_by_others(browser)
    assert tries(known) == 302
    assert tries(browser()) == 429, "the others are slowed as before"


def test_the_proof_has_a_cookie_of_its_own_and_only_its_digest_is_kept(
    browser: Callable[[], Reader], teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    answer = browser().post("/sign-in", login=LOGIN, password=PASSWORD)
    sent = {key: (value, rest) for key, value, rest in map(_cookie, answer.headers.getlist("Set-Cookie"))}
    proof, attributes = sent[COOKIE]
    assert attributes["samesite"] == "Lax"
    assert "httponly" in attributes
    assert int(attributes["max-age"] or 0) == 90 * 86_400
    assert proof != sent["plumbfall-teacher"][0]
    with sqlite_database.reading() as session:
        assert session.query(KnownBrowser).one().proof_digest == credentials.digest(proof)


def test_under_https_the_proof_goes_nowhere_else(
    sqlite_database: Database, teacher: TeacherIdentity, tmp_path: Path
) -> None:
    environ = {"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": str(sqlite_database.url)}
    settings = Settings.from_environment(environ | {"PLUMBFALL_BASE_ADDRESS": "https://physics.example"})
    reader = Reader(create_app(settings).test_client())
    reader.client.environ_base["wsgi.url_scheme"] = "https"
    answer = reader.post("/sign-in", login=LOGIN, password=PASSWORD)
    sent = [_cookie(line) for line in answer.headers.getlist("Set-Cookie")]
    attributes = next(rest for name, _, rest in sent if name == f"__Host-{COOKIE}")
    assert "secure" in attributes


def _cookie(line: str) -> tuple[str, str, dict[str, str | None]]:
    name, _, rest = line.partition("=")
    value, *attributes = rest.split("; ")
    pairs = (one.partition("=") for one in attributes)
    return name, value, {key.lower(): said for key, _, said in pairs}


@pytest.mark.parametrize(
    "made", ["cut off", "forged", "another account's", "far too long", "from an earlier one"]
)
def test_what_proves_nothing_for_this_account_is_a_stranger_s(
    browser: Callable[[], Reader], known: Reader, sqlite_database: Database, made: str
) -> None:
    a_teacher(sqlite_database, "mr-lind")
    earlier = proof_of(known)
    assert tries(known) == 302, "and the browser has its next proof"
    proof = {
        "cut off": proof_of(known)[:-1],
        "forged": credentials.new_token(),
        "another account's": proof_of(browser().sign_in("mr-lind")),
        "far too long": "x" * 4000,
        "from an earlier one": earlier,
    }[made]
    slowed_by_others(browser)
    stranger = browser()
    stranger.client.set_cookie(COOKIE, proof)
    assert tries(stranger) == 429
    assert tries(known) == 302


def test_its_own_wrong_tries_slow_it_and_no_other_known_browser(
    browser: Callable[[], Reader], known: Reader, clock: Clock
) -> None:
    stolen = browser().sign_in(LOGIN)
    assert [tries(stolen, f"guess {n}") for n in range(6)] == [422] * 5 + [429]
    assert tries(stolen) == 429
    assert tries(known) == 302
    assert tries(browser()) == 302, "nor anybody else"
    clock.time += timedelta(seconds=3)
    assert tries(stolen) == 302


@pytest.mark.parametrize("how", ["by command", "by the head", "own", "switched off", "everywhere", "too old"])
def test_a_proof_is_worth_nothing_after(
    browser: Callable[[], Reader],
    known: Reader,
    teacher: TeacherIdentity,
    the_head: TeacherIdentity,
    sqlite_database: Database,
    clock: Clock,
    how: str,
) -> None:
    password, own = PASSWORD, browser().sign_in(LOGIN)
    about = {"actor": the_head, "teacher_id": teacher.teacher_id, "now": NOW}
    if how == "by command":
        set_password(sqlite_database, login=LOGIN, password=(password := NEW), now=NOW)
    elif how == "by the head":
        who = {"actor": the_head, "teacher_id": teacher.teacher_id}
        new_password_by_link(sqlite_database, password=(password := NEW), **who)  # type: ignore[arg-type]
    elif how == "own":
        own.post("/desk/password", old=PASSWORD, new=(password := NEW), again=NEW)
    elif how == "switched off":
        switch_colleague(sqlite_database, active=False, **about)  # type: ignore[arg-type]
        switch_colleague(sqlite_database, active=True, **about)  # type: ignore[arg-type]
    elif how == "everywhere":
        assert own.post("/desk/password/everywhere").headers["Location"] == "/sign-in"
        assert "You are signed out in every browser." in own.text("/sign-in")
        assert own.get("/desk/").status_code == 302
    else:
        clock.time += timedelta(days=90)
    slowed_by_others(browser)
    assert tries(known, password) == 429
    assert tries(own, password) == (302 if how == "own" else 429), "where it was typed, the teacher is known"


def test_teachers_who_share_a_browser_are_both_known_there(
    browser: Callable[[], Reader], known: Reader, sqlite_database: Database
) -> None:
    a_teacher(sqlite_database, "mr-lind")
    known.sign_in("mr-lind")
    known.post("/sign-out")
    slowed_by_others(browser)
    slowed_by_others(browser, "mr-lind")
    assert (tries(known), tries(known, login="mr-lind"), tries(known)) == (302, 302, 302)
    assert count(sqlite_database, KnownBrowser) == 2, "a row for each of them"


def test_a_teacher_with_another_sign_in_name_is_still_known(
    browser: Callable[[], Reader], known: Reader, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        session.query(Teacher).filter_by(login=LOGIN).one().login = "mrs-lund"
    a_teacher(sqlite_database, LOGIN)
    slowed_by_others(browser, "mrs-lund")
    slowed_by_others(browser)
    assert tries(known) == 429, "the name is another teacher's now"
    assert tries(known, login="mrs-lund") == 302


def test_a_clock_that_steps_back_keeps_nobody_out(
    browser: Callable[[], Reader], known: Reader, clock: Clock
) -> None:
    slowed_by_others(browser)
    clock.time -= timedelta(hours=2)
    slowed_by_others(browser)  # looked at again, and slowed again
    assert tries(known) == 302
    clock.time -= timedelta(hours=2)
    assert tries(browser()) == 302


def test_one_password_under_many_names_is_slowed_and_written_nowhere(
    browser: Callable[[], Reader], known: Reader, sqlite_database: Database, clock: Clock
) -> None:
    guesser = browser()
    assert [tries(guesser, "hunting the one", f"name-{n}") for n in range(6)] == [422] * 5 + [429]
    assert tries(guesser, "another guess", "name-9") == 422, "other passwords are not"
    assert tries(browser()) == 302
    clock.time += timedelta(seconds=3)
    assert tries(guesser, "hunting the one", "name-9") == 422
    sqlite_database.close()
    assert sqlite_database.path is not None
    kept = sqlite_database.path.read_bytes()
    for secret in ("hunting the one", credentials.digest("hunting the one")):
        assert secret.encode() not in kept


def test_guessing_the_password_at_a_desk_that_was_left_open_is_slowed(desk: Reader) -> None:
    form = {"new": NEW, "again": NEW}
    for n in range(5):
        answer = desk.post("/desk/password", old=f"guess {n}", **form)
        assert "current password is not right" in answer.get_data(as_text=True)
    for old in ("guess 5", PASSWORD):
        answer = desk.post("/desk/password", old=old, **form)
        assert answer.status_code == 422
        assert "Wait 3 s" in answer.get_data(as_text=True)


def test_while_too_many_sign_in_what_was_typed_stays(
    browser: Callable[[], Reader],
    teacher: TeacherIdentity,
    the_head: TeacherIdentity,
    sqlite_database: Database,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    heads_desk, now = browser().sign_in(the_head.login), datetime.now(UTC)
    invited = invite(sqlite_database, actor=the_head, name="Mrs New", role=Role.TEACHER, now=now)
    back = make_password_link(sqlite_database, actor=the_head, teacher_id=teacher.teacher_id, now=now)
    full = Queues()
    full.share(2)
    monkeypatch.setattr(passwords, "QUEUES", full)
    monkeypatch.setattr(teachers, "QUEUES", full)
    come_in = f"/way-in/{invited.token}"
    pages_of = {
        come_in: {"login": "mrs-new", "name": "Mrs New", "password": NEW, "again": NEW},
        f"/way-in/{back.token}": {"password": NEW, "again": NEW},
        "/desk/password": {"old": PASSWORD, "new": NEW, "again": NEW},
        "/desk/account/second-step": {"password": PASSWORD, "action": "begin"},
    }
    with full.turn(known=False):
        for address, form in pages_of.items():
            answer = heads_desk.post(address, **form)
            page = answer.get_data(as_text=True)
            assert (answer.status_code, answer.headers["Retry-After"]) == (503, "2"), address
            assert "Too many people are signing in just now." in page
            assert ('value="mrs-new"' in page) == ("login" in form)
            assert NEW not in page
    assert heads_desk.post(come_in, **pages_of[come_in]).status_code == 303
