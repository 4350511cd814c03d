"""Tens of thousands of odd requests to every route: nothing breaks, nothing hangs, no nonsense is stored."""

from __future__ import annotations

import random
import signal
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field, replace
from io import BytesIO
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from app.practicals.lesson.states import finish_practical
from app.practicals.people import pauses
from app.practicals.runs.sending import enter_run
from app.records.whole_file import check_file
from app.web.department.bring_in import file as bring_in
from app.web.desk.runs import grid
from tests.faults.any_request import AnyRequest, Way, addressed, fields_by_address, requests, weighted
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.profiles import tries
from tests.serving import a_class_in
from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    Reader,
    a_class,
    application,
    planned,
    teacher,
)
from tests.web.desk.test_who_may import full_form
from tests.web.test_who_may_what import DRAWN, School, school  # noqa: F401 - the fixture
from tests.web.who_may import MAY, For

EVERYBODY = ("nobody", "phone", "technician", "colleague", "cover", "owner", "head", "stranger")
COOKIES = ("plumbfall-form", "plumbfall-bench", "plumbfall-teacher")
AT_A_TIME = 20
"""Requests to the same records, before they are looked at and laid anew."""
LONGEST_SECONDS = 5.0
"""Of processor time, so that a busy machine is no fault; and twelve times as long by the clock."""
LEFT_OUT = {"static", "health.health"}
FILE_FIELDS = (grid.FILE, bring_in.FILE)


class Hangs(BaseException):
    """A request takes too long; no handler of ours may answer it."""


@contextmanager
def no_longer_than(seconds: float) -> Iterator[None]:
    """Raise `Hangs` in what takes more."""

    def late(_signal: int, _frame: FrameType | None) -> None:
        raise Hangs

    before = {kind: signal.signal(kind, late) for kind in (signal.SIGPROF, signal.SIGALRM)}
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, 12 * seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        for kind, handler in before.items():
            signal.signal(kind, handler)


@dataclass
class Walk:
    """A school in which anything is tried, and laid anew from a copy of its records."""

    school: School
    whole: bytes
    jars: dict[str, dict[str, str]]
    tokens: dict[str, str]
    ways: list[Way]
    statuses: Counter[int] = field(default_factory=Counter)
    laid: int = 0
    looked: int = 0

    @property
    def file(self) -> Path:
        """Of the records."""
        path = self.school.a_class.database.path
        assert path is not None
        return path

    def lay_anew(self) -> None:
        """The records as they were; only the revisions are new, by which what was worked out is kept."""
        self.school.application.extensions["plumbfall_database"].close()
        self.school.a_class.database.close()
        self.file.with_name(f"{self.file.name}-journal").unlink(missing_ok=True)
        self.file.write_bytes(self.whole)
        self.laid += 1
        with closing(sqlite3.connect(self.file)) as records, records:
            records.execute("UPDATE practical SET revision = revision + ?", (1000 * self.laid,))
        pauses.WRONG_PASSWORDS = pauses.WrongPasswords()

    def send(self, asked: AnyRequest) -> None:
        """Send a request; it is answered, and in time."""
        data: Any = asked.body
        if asked.form is not None:
            data = {name: values for name, values in asked.form.items() if name}
            if asked.file:
                name, content = asked.file
                for field_of_a_file in FILE_FIELDS:
                    data[field_of_a_file] = (BytesIO(content.encode("utf-8", "replace")), name)
        headers = {"X-CSRFToken": self.tokens[asked.who], **asked.headers}
        answer = self.open(
            asked.who,
            asked.address,
            method=asked.method,
            query_string=asked.query,
            headers=headers,
            data=data,
            content_type=asked.kind if asked.body is not None and asked.kind else None,
        )
        self.statuses[answer.status_code] += 1
        assert answer.status_code < 500, f"{asked} answered {answer.status_code}"

    def look(self, chance: random.Random, pages: int) -> None:
        """The database finds its own rules kept, and so many of the pages that show it can be read."""
        assert check_file(self.file) == "ok"
        with closing(sqlite3.connect(self.file)) as records:
            assert records.execute("PRAGMA foreign_key_check").fetchall() == []
        shown = [way for way in self.ways if way.method == "GET" and way.visitors and not way.is_slow]
        for way in chance.sample(shown, min(pages, len(shown))):
            answer = self.open(way.visitors[-1], addressed(way.rule, way.values))
            self.looked += 1
            assert answer.status_code < 500, f"{way.endpoint} answered {answer.status_code} afterwards"

    def open(self, who: str, address: str, **request: Any) -> TestResponse:
        client: FlaskClient = self.school.application.test_client()
        for name, value in self.jars[who].items():
            client.set_cookie(name, value)
        with no_longer_than(LONGEST_SECONDS):
            answer = client.open(address, **request)
            answer.get_data()
            answer.close()
        return answer


@pytest.fixture
def walk(school: School) -> Walk:  # noqa: F811 - the fixture
    """Everybody signed in, the fields of every form known, and a copy of the records."""
    other = a_finished_class(school.a_class)
    jars, tokens = {}, {}
    for who in EVERYBODY:
        reader = Reader(school.application.test_client())
        if who == "phone":
            reader.post(f"/j/{school.a_class.practical.join_code}", number="2")
            reader.post("/bench/safety")
        elif who != "nobody":
            reader.sign_in("mrs-okafor" if who == "owner" else who)
        token = reader.get("/bench/token").json
        assert token is not None
        tokens[who] = token["token"]
        jars[who] = {
            name: cookie.value for name in COOKIES if (cookie := reader.client.get_cookie(name)) is not None
        }
    one = Walk(school, b"", jars, tokens, [])
    one.ways = list(_ways(school))
    fields = _fields(one)
    general = {name: (value,) for name, value in full_form(school.a_class).items()}
    one.ways = [
        replace(way, fields=fields.get(addressed(way.rule, way.values), general)) for way in one.ways
    ] + [
        replace(way, values={**way.values, "practical_id": other.practical_id})
        for way in one.ways
        if way.method == "GET" and "practical_id" in way.values
    ]
    school.application.extensions["plumbfall_database"].close()
    school.a_class.database.close()
    one.whole = one.file.read_bytes()
    return one


def a_finished_class(one: AClass) -> AClass:
    """Another class of the same teacher, with a result."""
    other = AClass(one.database, one.teacher, a_class_in(one.database, one.teacher).practical)
    for number in range(1, 7):
        bench = other.join(number)
        for end in ("21.4", "21.5"):
            enter_run(other.database, actor=bench, key=new_key(), entry=an_entry(end=end), now=NOW)
    finish_practical(other.database, actor=one.teacher, practical_id=other.practical_id, now=NOW)
    return other


def _ways(school: School) -> Iterator[Way]:  # noqa: F811 - the fixture
    who_may = {kind: tuple(sorted(people)) for kind, people in MAY.items()} | {
        For.ANYONE: ("nobody", "phone", "owner")
    }
    rules = {(rule.endpoint, rule.rule): rule for rule in school.application.url_map.iter_rules()}
    audiences = {(route.endpoint, route.method): route.audience for route in school.routes()}
    for (endpoint, rule), found in rules.items():
        values = {name: school.values.get(name, 1) for name in found.arguments}
        for method in ("GET", "POST"):
            audience = audiences.get((endpoint, method))
            if method in (found.methods or ()) and audience and endpoint not in LEFT_OUT:
                yield Way(endpoint, method, rule, values, who_may.get(audience, ()), {}, endpoint in DRAWN)


def _fields(walk: Walk) -> dict[str, dict[str, tuple[str, ...]]]:
    pages = []
    for way in walk.ways:
        if way.method == "GET" and way.endpoint not in DRAWN:
            for who in way.visitors[-1:]:
                answer = walk.open(who, addressed(way.rule, way.values))
                if answer.mimetype == "text/html":
                    pages.append(answer.get_data(as_text=True))
    return fields_by_address(pages)


def test_no_request_breaks_a_page_hangs_or_stores_nonsense(walk: Walk, told: Callable[[str], None]) -> None:
    examples, pages = tries(8, 2500), tries(5, 8)

    walks = requests(weighted(walk.ways), list(EVERYBODY))

    @settings(
        max_examples=examples,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate],  # the request that fails is named; a shorter walk to it would take minutes
        database=None,
    )
    @given(st.lists(walks, min_size=AT_A_TIME, max_size=AT_A_TIME), st.integers())
    def nothing_breaks(asked: list[AnyRequest], chance: int) -> None:
        walk.lay_anew()
        for one in asked:
            walk.send(one)
        walk.look(random.Random(chance), pages)

    nothing_breaks()
    sent = sum(walk.statuses.values())
    answers = ", ".join(f"{count} × {status}" for status, count in sorted(walk.statuses.items()))
    told(f"odd requests: {sent} ({answers}), {walk.looked} pages read afterwards; no 500, none over 5 s")
    assert sent >= examples * AT_A_TIME
    assert walk.statuses[200] > sent / 10
